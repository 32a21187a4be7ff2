/** Every drawing as a box that fills up, by role; a tap puts it on the paper. */
import type { JSX } from 'preact';
import { type Notes } from '../../note/merge.ts';
import { drawingState, drawingStates, progressOf } from '../../note/progress.ts';
import { drawingKey } from '../../shot/drawing-ref.ts';
import type { Role } from '../../shot/model.ts';
import { Mark } from '../mark.tsx';
import type { Session } from '../session.ts';
import { WaitMarks, waitWords } from '../wait-marks.tsx';
import { waitsHere } from '../waits-here.ts';
import { StateTick } from './state-tick.tsx';

const names: readonly (readonly [role: Role | 'unset', plural: string])[] = [
  ['key', 'Keys'],
  ['breakdown', 'Breakdowns'],
  ['inbetween', 'In-betweens'],
  ['unset', 'No role yet'],
];

export function ByRole({ session, notes }: { session: Session; notes: Notes }): JSX.Element {
  const shot = session.shot.value;
  const progress = progressOf(shot, notes);
  const here = session.model.value;
  const several = shot.levels.length > 1;
  const waits = waitsHere(session).value;
  const wordsOf = (level: string, drawing: string, state: string): string =>
    [
      `${several ? `${level} ` : ''}${drawing}`,
      state,
      ...(waits.has(drawingKey({ level, drawing }))
        ? [waitWords(waits.get(drawingKey({ level, drawing })))]
        : []),
    ].join(', ');
  const rows = names.map(([role, plural]) => ({
    role,
    plural,
    count: progress[role],
    drawings: shot.levels.flatMap((level) =>
      level.drawings
        .filter((drawing) => (drawing.role ?? 'unset') === role)
        .map((drawing) => ({ level: level.name, drawing, state: drawingState(notes, level.name, drawing) })),
    ),
  }));
  return (
    <section class="by-role" aria-label="How far the drawings are">
      {rows
        .filter(({ count }) => count.total > 0)
        .map(({ role, plural, count, drawings }) => (
          <div key={role} class="role-row">
            <h3>
              {plural}{' '}
              <span class="count">{`${count.byState.clean + count.byState.approved} of ${count.total} clean`}</span>
            </h3>
            <div class="boxes">
              {drawings.map(({ level, drawing, state }) => (
                <button
                  key={drawingKey({ level, drawing: drawing.label })}
                  type="button"
                  aria-current={here.level === level && here.drawing === drawing.label ? 'true' : undefined}
                  aria-label={wordsOf(level, drawing.label, state)}
                  title={wordsOf(level, drawing.label, state)}
                  onClick={() => {
                    session.act({ do: 'level', level });
                    session.act({ do: 'drawing', label: drawing.label });
                  }}
                >
                  <StateTick state={state} />
                  <Mark drawing={drawing} size={12} />
                  <WaitMarks waits={waits.get(drawingKey({ level, drawing: drawing.label }))} />
                </button>
              ))}
            </div>
          </div>
        ))}
      <p class="state-legend">
        {drawingStates.map((state) => (
          <span key={state}>
            <StateTick state={state} /> {progress.all.byState[state]} {state}
          </span>
        ))}
      </p>
    </section>
  );
}
