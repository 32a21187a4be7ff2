/** A panel that covers the whole desk: the paper waits beneath it. */
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { type Panel, wholePanelOf } from './extensions.ts';
import { Notices } from './notices.tsx';
import { useSession } from './session-context.ts';

export function WholePanel(): JSX.Element | null {
  const panel = wholePanelOf(useSession().panel.value);
  return panel ? <Whole key={panel.id} panel={panel} /> : null;
}

function Whole({ panel }: { panel: Panel }): JSX.Element {
  const session = useSession();
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    const before = document.activeElement;
    dialog.current?.showModal();
    dialog.current?.focus();
    return () => {
      if (before instanceof HTMLElement) before.focus();
    };
  }, []);
  const close = (): void => {
    if (session.panel.peek() === panel.id) session.panel.value = undefined;
  };
  return (
    <dialog class="whole" ref={dialog} tabIndex={-1} aria-label={panel.label} onClose={close}>
      <panel.Body session={session} />
      <div class="whole-notices">
        <Notices />
      </div>
    </dialog>
  );
}
