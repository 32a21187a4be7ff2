/** How far the shot is, at what pace it goes, when it will be done, and what would be late. */
import { useComputed } from '@preact/signals';
import type { JSX } from 'preact';
import { outlookOf } from '../../note/outlook.ts';
import { dayOf } from '../../note/pace.ts';
import { drawingIn } from '../retakes/items.ts';
import type { Session } from '../session.ts';
import { levelNamed } from '../sheet.ts';
import { ByRole } from './by-role.tsx';
import { DoneCurve } from './done-curve.tsx';
import { LateOnes } from './late-ones.tsx';
import { Paces } from './paces.tsx';
import { PlanEditor } from './plan-editor.tsx';
import { StateEditor } from './state-editor.tsx';
import { forecastWords } from './words.ts';
import './progress.css';

export function ProgressPanel({ session }: { session: Session }): JSX.Element {
  const { notes } = session.ledger;
  const outlook = useComputed(() => {
    const wallMs = session.clock.wallMs();
    const utcOffsetMinutes = -new Date(wallMs).getTimezoneOffset();
    const today = dayOf(wallMs, utcOffsetMinutes);
    return outlookOf(session.shot.value, notes.value, session.ledger.entries.value, today, utcOffsetMinutes);
  });
  const { level: levelName, drawing: label } = session.model.value;
  const level = levelNamed(session.shot.value, levelName);
  const drawing = drawingIn(session.shot.value, levelName, label);
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
