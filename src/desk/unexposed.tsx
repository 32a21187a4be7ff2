/** Drawings that are on the pegs but not on the sheet: reachable all the same. */
import type { JSX } from 'preact';
import { levelNamed } from '../shot/drawing-ref.ts';
import { firstFrames } from '../shot/exposures.ts';
import type { Drawing, Shot } from '../shot/model.ts';
import { Mark } from './mark.tsx';
import { useSession } from './session-context.ts';

function unexposed(shot: Shot, levelName: string): readonly Drawing[] {
  const level = levelNamed(shot, levelName);
  if (!level) return [];
  const exposed = firstFrames(level);
  return level.drawings.filter(({ label }) => !exposed.has(label));
}

export function UnexposedButton(): JSX.Element | null {
  const session = useSession();
  const count = unexposed(session.shot.value, session.model.value.level).length;
  if (count === 0) return null;
  const open = session.strip.value === 'unexposed';
  return (
    <button
      type="button"
      class="unexposed"
      aria-expanded={open}
      onClick={() => {
        session.strip.value = open ? undefined : 'unexposed';
      }}
    >
      {count} not on the sheet
    </button>
  );
}

export function UnexposedStrip(): JSX.Element {
  const session = useSession();
  const drawings = unexposed(session.shot.value, session.model.value.level);
  return (
    <>
      <span>Not on the sheet:</span>
      {drawings.map((drawing) => (
        <button
          key={drawing.label}
          type="button"
          class="tool"
          aria-label={`Drawing ${drawing.label}`}
          aria-pressed={session.model.value.drawing === drawing.label}
          onClick={() => session.act({ do: 'drawing', label: drawing.label })}
        >
          <Mark drawing={drawing} size={15} />
        </button>
      ))}
    </>
  );
}
