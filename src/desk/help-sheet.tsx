/** Keys and gestures, made from the list of commands; the notation; and how this table is set. */
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { commands } from './commands.ts';
import { Icon } from './icons.tsx';
import { keyWords } from './keys.ts';
import { NotationLegend } from './notation-legend.tsx';
import { useSession } from './session-context.ts';
import { TableSettings } from './table-settings.tsx';

export function HelpSheet(): JSX.Element {
  const session = useSession();
  const groups = [...new Set(commands.map(({ group }) => group))];
  const dialog = useRef<HTMLDialogElement>(null);
  const close = (): void => {
    session.helpOpen.value = false;
  };
  useEffect(() => dialog.current?.showModal(), []);
  return (
    <dialog
      class="help"
      ref={dialog}
      aria-labelledby="help-title"
      onClose={close}
      onCancel={close}
      onClick={(event) => event.target === dialog.current && close()}
    >
      <div class="help-body">
        <header>
          <h2 id="help-title">Keys, gestures, and this table</h2>
          <button type="button" class="tool" aria-label="Close" onClick={close}>
            <Icon name="close" />
          </button>
        </header>
        <TableSettings />
        <NotationLegend />
        <p class="hint">
          The rule of the keys: arrows move; the digits are the ways of seeing, in the order of their buttons,
          and with Shift the flip sets; a letter is the first of its word. Everything a gesture does, a button
          and a key do too.
        </p>
        <div class="help-groups">
          {groups.map((group) => (
            <table key={group}>
              <caption>{group}</caption>
              <tbody>
                {commands
                  .filter((command) => command.group === group && (command.key || command.gesture))
                  .map(({ id, label, key, gesture }) => (
                    <tr key={id}>
                      <th scope="row">{label}</th>
                      <td>{key && <kbd>{keyWords(key)}</kbd>}</td>
                      <td>{gesture}</td>
                    </tr>
                  ))}
              </tbody>
            </table>
          ))}
        </div>
      </div>
    </dialog>
  );
}
