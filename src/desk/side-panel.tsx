/** The panel beside the paper, when one is open. */
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { allPanels } from './extensions.ts';
import { Icon } from './icons.tsx';
import { useSession } from './session-context.ts';

export function SidePanel(): JSX.Element | null {
  const session = useSession();
  const open = session.panel.value;
  const panel = allPanels().find(({ id, whole }) => !whole && id === open);
  const place = useRef<HTMLElement>(null);
  const opened = useRef(open);
  useEffect(() => {
    // Focus goes into a panel that a person opened, not into one that a reload brought back; and not away
    // from the field in it that asked for it.
    const inside = place.current?.contains(document.activeElement);
    if (opened.current !== open && open !== undefined && !inside) place.current?.focus();
    opened.current = open;
  }, [open]);
  if (!panel) return null;
  return (
    <aside class="panel" ref={place} tabIndex={-1} aria-label={panel.label}>
      <header>
        <h2>{panel.label}</h2>
        <button
          type="button"
          class="tool"
          aria-label={`Close ${panel.label}`}
          onClick={() => {
            session.panel.value = undefined;
          }}
        >
          <Icon name="close" />
        </button>
      </header>
      <div class="panel-body">
        <panel.Body session={session} />
      </div>
    </aside>
  );
}
