/** The tools at the edge under the drawing hand. */
import type { JSX } from 'preact';
import { CommandButton } from './command-button.tsx';
import { allPanels } from './extensions.ts';
import { ways } from './model.ts';
import { useSession } from './session-context.ts';

export function Tools(): JSX.Element {
  const session = useSession();
  const several = session.shot.value.levels.length > 1;
  return (
    <nav class="tools" aria-label="Tools">
      <CommandButton id="shelf" />
      <div class="tools-group" role="group" aria-label="Ways of seeing">
        {ways.map((way) => (
          <CommandButton key={way} id={`way ${way}`} />
        ))}
      </div>
      <div class="tools-group" role="group" aria-label="Paper">
        <CommandButton id="other" />
        <CommandButton id="neighbours" />
        {several && <CommandButton id="together" />}
        <CommandButton id="paper strip" />
        <CommandButton id="fit" />
      </div>
      <div class="tools-group" role="group" aria-label="Work">
        <CommandButton id="undo" />
        {allPanels().map(({ id, command }) => (
          <CommandButton key={id} id={command.id} />
        ))}
        <CommandButton id="help" />
      </div>
    </nav>
  );
}
