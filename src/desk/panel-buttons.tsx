/** A button for each side panel, over the paper on the side of the drawing hand. */
import type { JSX } from 'preact';
import { CommandButton } from './command-button.tsx';
import { allPanels } from './extensions.ts';
import { Icon } from './icons.tsx';

export function PanelButtons(): JSX.Element {
  return (
    <div class="panel-buttons" role="group" aria-label="Panels">
      {allPanels().map(({ id, label, command }) => (
        <CommandButton key={id} id={command.id}>
          {command.icon && <Icon name={command.icon} />}
          {label}
        </CommandButton>
      ))}
    </div>
  );
}
