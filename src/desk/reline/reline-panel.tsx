/** The line changed: its weight, or small mendings; the drawing on the paper shows it at once. */
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { Choice } from '../choice.tsx';
import type { Session } from '../session.ts';
import { MendPart } from './mend-part.tsx';
import { layMarks } from './paper-marks.ts';
import { type RelineDesk, relineOf } from './reline-desk.ts';
import { WeightPart } from './weight-part.tsx';
import './reline.css';

const parts = { weight: 'Weight', mend: 'Mend' } as const;

export function RelinePanel({ session }: { session: Session }): JSX.Element {
  const desk = relineOf(session);
  useEffect(() => {
    const stops = [desk.lay(), layMarks(session, desk)];
    return () => stops.forEach((stop) => stop());
  }, [session, desk]);
  const allowed = session.ledger.may({
    kind: 'take',
    level: '',
    drawing: '1',
    image: { sha256: '0'.repeat(64), width: 1, height: 1, mediaType: 'image/png', byteLength: 1 },
  });
  return (
    <div class="reline choice">
      <Choice
        name="What is done"
        words={parts}
        now={desk.part.value}
        choose={(part) => {
          desk.part.value = part;
        }}
      />
      {!allowed.may && <p class="hint">{allowed.reason}</p>}
      {desk.part.value === 'weight' ? (
        <WeightPart session={session} desk={desk} may={allowed.may} />
      ) : (
        <MendPart session={session} desk={desk} may={allowed.may} />
      )}
      <Running desk={desk} />
      {desk.said.value && <p role="status">{desk.said}</p>}
      <p class="hint">
        {desk.shown.value
          ? 'On the paper: the drawing as it would be. Press and hold the paper for the one that is.'
          : 'On the paper: the drawing as it is.'}
      </p>
    </div>
  );
}

function Running({ desk }: { desk: RelineDesk }): JSX.Element | null {
  const now = desk.running.value;
  if (!now) return null;
  return (
    <div class="progress-line">
      <span>Making {now.what} …</span>
      <progress max={1} value={now.share} aria-label="Made" />
      <button type="button" class="button" onClick={() => desk.stop()}>
        Stop
      </button>
    </div>
  );
}
