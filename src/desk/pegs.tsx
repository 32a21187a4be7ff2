/** The lowest row: the edges of the drawings on the pegs, and beside them what runs. */
import type { JSX } from 'preact';
import { CommandButton } from './command-button.tsx';
import { FlipStrip } from './flip-strip.tsx';
import { Icon } from './icons.tsx';
import { useSession } from './session-context.ts';

export function Pegs(): JSX.Element {
  const playing = useSession().model.value.motion === 'play';
  return (
    <div class="pegs" role="group" aria-label="Flipping">
      <FlipStrip />
      <div class="hand" role="group" aria-label="In the hand, and running">
        <CommandButton id="pick" worded />
        <CommandButton id="roll" worded />
        <CommandButton id="play">
          <Icon name={playing ? 'halt' : 'run'} />
          {playing ? 'Stop' : 'Play'}
        </CommandButton>
        <CommandButton id="loop" worded />
        <CommandButton id="part" worded />
      </div>
    </div>
  );
}
