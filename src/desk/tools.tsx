/** The tools under the paper: an icon and a word each. */
import type { JSX } from 'preact';
import { CommandButton } from './command-button.tsx';
import { ways } from './model.ts';
import { useSession } from './session-context.ts';

export function Tools(): JSX.Element {
  const several = useSession().shot.value.levels.length > 1;
  const paper = ['other', 'neighbours', ...(several ? ['together'] : []), 'paper strip', 'fit'];
  return (
    <nav class="tools" aria-label="Tools">
      <div class="tools-group" role="group" aria-label="Ways of seeing">
        {ways.map((way) => (
          <CommandButton key={way} id={`way ${way}`} worded />
        ))}
      </div>
      <div class="tools-group" role="group" aria-label="Paper">
        {paper.map((id) => (
          <CommandButton key={id} id={id} worded />
        ))}
      </div>
      <div class="tools-group" role="group" aria-label="Work">
        {['alone', 'undo', 'redo', 'help'].map((id) => (
          <CommandButton key={id} id={id} worded />
        ))}
      </div>
    </nav>
  );
}
