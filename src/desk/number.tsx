/** The number of the drawing that is truly on the paper, readable at arm's length. */
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { drawingState } from '../note/progress.ts';
import { drawingKey, drawingLabelled, levelNamed } from '../shot/drawing-ref.ts';
import { exposureAt } from '../shot/exposures.ts';
import { notationOf } from '../shot/notation.ts';
import { Mark } from './mark.tsx';
import { useSession } from './session-context.ts';
import { waitWords } from './wait-marks.tsx';
import { waitsHere } from './waits-here.ts';

/** A screen reader is told at most this often, and not while drawings run. */
const tellEveryMs = 700;

export function DrawingNumber(): JSX.Element | null {
  const session = useSession();
  const here = session.onPaper.value;
  const shot = session.shot.value;
  const level = here && levelNamed(shot, here.level);
  const drawing = here && drawingLabelled(level, here.drawing);
  if (!here || !drawing || !level) return <div class="number" />;
  const exposure = exposureAt(level, here.frame);
  const role = notationOf(drawing).words || 'no role yet';
  const frames =
    here.frame === 0 || !exposure
      ? 'not on the sheet'
      : `frame ${here.frame}${exposure.length > 1 ? `, held ${exposure.length}` : ', on one'}`;
  const state = drawingState(session.ledger.notes.value, level.name, drawing);
  const waits = waitWords(waitsHere(session).value.get(drawingKey(here)));
  const levelWords = shot.levels.length > 1 ? `${level.name} · ` : '';
  return (
    <div class="number" data-shown={here.drawing} data-frame={here.frame} data-quality={here.quality}>
      <Mark drawing={drawing} size={30} />
      <div class="number-words">
        <span>{`${levelWords}${role}`}</span>
        <span>{frames}</span>
      </div>
      <ForScreenReader
        words={[`Drawing ${drawing.label}`, role, frames, state, ...(waits ? [waits] : [])].join(', ')}
      />
    </div>
  );
}

/** The live region: polite, and silent until the hand rests. */
function ForScreenReader({ words }: { words: string }): JSX.Element {
  const session = useSession();
  const [told, setTold] = useState('');
  const moving = session.model.value.motion !== 'still';
  const latest = useRef(words);
  latest.current = words;
  useEffect(() => {
    if (moving) return;
    return session.clock.after(tellEveryMs, () => setTold(latest.current));
  }, [words, moving, session]);
  return (
    <span class="unseen" role="status" aria-live="polite">
      {told}
    </span>
  );
}
