/** Which level is flipped, when the shot has several. */
import type { JSX } from 'preact';
import { useSession } from './session-context.ts';

export function LevelPicker(): JSX.Element | null {
  const session = useSession();
  const { levels } = session.shot.value;
  if (levels.length < 2) return null;
  return (
    <div class="levels" role="group" aria-label="Level that is flipped">
      {levels.map(({ name }) => (
        <button
          key={name}
          title={name}
          type="button"
          aria-pressed={session.model.value.level === name}
          onClick={() => session.act({ do: 'level', level: name })}
        >
          {name || 'no name'}
        </button>
      ))}
    </div>
  );
}
