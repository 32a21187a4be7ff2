/** Which level is flipped, at the head of its column on the sheet. */
import type { JSX } from 'preact';
import type { Level } from '../shot/model.ts';
import { useSession } from './session-context.ts';

export function LevelPicker({
  columns,
  widthPx,
}: {
  columns: readonly Level[];
  widthPx: number;
}): JSX.Element {
  const session = useSession();
  return (
    <div class="levels" role="group" aria-label="Level that is flipped">
      {columns.map(({ name }) => (
        <button
          key={name}
          type="button"
          title={name}
          style={{ width: `${widthPx}px` }}
          aria-pressed={session.model.value.level === name}
          onClick={() => session.act({ do: 'level', level: name })}
        >
          {name || 'no name'}
        </button>
      ))}
    </div>
  );
}
