/** A command as a button: icon or words, pressed or not, with its key in the tip. */
import type { ComponentChildren, JSX } from 'preact';
import { commandById } from './commands.ts';
import { Icon } from './icons.tsx';
import { keyWords } from './keys.ts';
import { useSession } from './session-context.ts';

interface CommandButtonProps {
  readonly id: string;
  readonly class?: string;
  /** Its word under its icon. */
  readonly worded?: boolean;
  /** Words or a drawing instead of the icon. */
  readonly children?: ComponentChildren;
}

export function CommandButton({ id, class: className, worded, children }: CommandButtonProps): JSX.Element {
  const session = useSession();
  const command = commandById(id);
  const release = command.release;
  const label = (command.on?.(session) && command.labelOn) || command.label;
  const tip = command.key ? `${label} (${keyWords(command.key)})` : label;
  const holding = release && {
    onPointerDown: (event: PointerEvent) => {
      (event.currentTarget as Element).setPointerCapture(event.pointerId);
      command.run(session);
    },
    onPointerUp: () => release(session),
    onPointerCancel: () => release(session),
    onKeyDown: (event: KeyboardEvent) => {
      if ((event.key === ' ' || event.key === 'Enter') && !event.repeat) command.run(session);
    },
    onKeyUp: () => release(session),
    onBlur: () => release(session),
  };
  const pressed = (event: MouseEvent): void => {
    command.run(session);
    // Pressed by hand it keeps no focus, so that Space plays next instead of pressing it again.
    if (event.detail > 0) (event.currentTarget as HTMLElement).blur();
  };
  return (
    <button
      type="button"
      class={`tool ${className ?? ''}`}
      aria-label={label}
      aria-pressed={command.labelOn ? undefined : command.on?.(session)}
      disabled={command.enabled?.(session) === false}
      title={tip}
      {...(holding || { onClick: pressed })}
    >
      {children ?? (command.icon && <Icon name={command.icon} />)}
      {worded && (command.word ?? command.label)}
    </button>
  );
}
