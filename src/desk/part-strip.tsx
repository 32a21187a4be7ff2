/** Playing a part of the shot, and slower. The frame on the paper is what a part begins or ends with. */
import type { JSX } from 'preact';
import { CommandButton } from './command-button.tsx';
import { type Pace, paces, playedFrames } from './model.ts';
import { useSession } from './session-context.ts';

const paceWords: Readonly<Record<Pace, string>> = { 1: 'Full', 0.5: 'Half', 0.25: 'Quarter' };

export function PartStrip(): JSX.Element {
  const session = useSession();
  const model = session.model.value;
  const { from, to } = playedFrames(session.shot.value, model);
  return (
    <>
      <CommandButton id="part from" class="worded">
        From here
      </CommandButton>
      <output>
        {from} to {to}
      </output>
      <CommandButton id="part to" class="worded">
        To here
      </CommandButton>
      <button
        type="button"
        class="tool worded"
        disabled={model.part === undefined}
        onClick={() => session.act({ do: 'part', part: undefined })}
      >
        All of it
      </button>
      <span class="paces" role="group" aria-label="Pace">
        {paces.map((pace) => (
          <button
            key={pace}
            type="button"
            class="tool worded"
            aria-pressed={model.pace === pace}
            onClick={() => session.act({ do: 'pace', pace })}
          >
            {paceWords[pace]}
          </button>
        ))}
      </span>
    </>
  );
}
