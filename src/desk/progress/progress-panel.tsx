/** How far the shot is, at what pace it goes, when it will be done, and what would be late. */
import { type ReadonlySignal, useComputed, useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { outlookOf } from '../../note/outlook.ts';
import { dayOf } from '../../note/pace.ts';
import { drawingLabelled, levelNamed } from '../../shot/drawing-ref.ts';
import type { Session } from '../session.ts';
import { ByRole } from './by-role.tsx';
import { DoneCurve } from './done-curve.tsx';
import { LateOnes } from './late-ones.tsx';
import { Paces } from './paces.tsx';
import { PlanEditor } from './plan-editor.tsx';
import { StateEditor } from './state-editor.tsx';
import { forecastWords } from './words.ts';
import './progress.css';

interface Today {
  /** As of `dayOf`. */
  readonly day: number;
  readonly utcOffsetMinutes: number;
}

/** The day it is here; another one after midnight, though the panel stands open. */
function useToday(clock: Session['clock']): ReadonlySignal<Today> {
  const read = (): Today => {
    const wallMs = clock.wallMs();
    const utcOffsetMinutes = -new Date(wallMs).getTimezoneOffset();
    return { day: dayOf(wallMs, utcOffsetMinutes), utcOffsetMinutes };
  };
  const today = useSignal(read());
  useEffect(() => {
    let cancel = (): void => undefined;
    const wait = (): void => {
      const wallMs = clock.wallMs();
      const midnight = new Date(wallMs).setHours(24, 0, 0, 0);
      cancel = clock.after(midnight - wallMs + 100, () => {
        today.value = read();
        wait();
      });
    };
    wait();
    return () => cancel();
  }, [clock]);
  return today;
}

export function ProgressPanel({ session }: { session: Session }): JSX.Element {
  const { notes } = session.ledger;
  const now = useToday(session.clock);
  const outlook = useComputed(() => {
    const { day, utcOffsetMinutes } = now.value;
    return outlookOf(session.shot.value, notes.value, session.ledger.entries.value, day, utcOffsetMinutes);
  });
  const { level: levelName, drawing: label } = session.model.value;
  const level = levelNamed(session.shot.value, levelName);
  const drawing = drawingLabelled(level, label);
  const { likely, range } = forecastWords(outlook.value);
  return (
    <div class="progress-sheet">
      <section class="outlook" aria-label="When it will be done">
        <p class="likely">{likely}</p>
        {range && <p class="range">{range}</p>}
        <DoneCurve outlook={outlook.value} />
        <LateOnes session={session} outlook={outlook.value} />
      </section>
      <ByRole session={session} notes={notes.value} />
      {level && drawing && <StateEditor session={session} level={level} drawing={drawing} />}
      <Paces session={session} outlook={outlook.value} />
      <PlanEditor session={session} plan={outlook.value.plan} />
    </div>
  );
}
