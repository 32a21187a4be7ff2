/** How far the drawing at hand is, set by hand. */
import type { JSX } from 'preact';
import type { Body, DrawingState } from '../../note/entry.ts';
import { drawingState, drawingStates } from '../../note/progress.ts';
import type { EditorProps } from '../edit/props.ts';
import { StateTick } from './state-tick.tsx';

export function StateEditor({ session, level, drawing }: EditorProps): JSX.Element {
  const { notes } = session.ledger;
  const now = drawingState(notes.value, level.name, drawing);
  const body = (state: DrawingState): Body => ({
    kind: 'drawing state',
    level: level.name,
    drawing: drawing.label,
    state,
  });
  const allowed = (state: DrawingState): boolean => session.ledger.may(body(state)).may;
  return (
    <fieldset class="choice">
      <legend>State</legend>
      <div class="choice-row tight states">
        {drawingStates.map((state) => (
          <button
            key={state}
            type="button"
            aria-pressed={now === state}
            disabled={now !== state && !allowed(state)}
            onClick={() => {
              if (now !== state) session.say(`${drawing.label} is ${state}`, [body(state)]);
            }}
          >
            <StateTick state={state} /> {state}
          </button>
        ))}
      </div>
      {!allowed('approved') && now !== 'approved' && <p class="hint">A director approves drawings.</p>}
    </fieldset>
  );
}
