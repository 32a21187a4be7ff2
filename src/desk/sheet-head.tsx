/** The head over a sheet of paper that covers the desk: back to the desk, what it filters by, what it hands out. */
import type { Signal } from '@preact/signals';
import type { ComponentChildren, JSX } from 'preact';
import { Icon } from './icons.tsx';
import type { Session } from './session.ts';

interface SheetHeadProps {
  readonly session: Session;
  /** Whether the slip with what can be handed out lies there; left out where there is none. */
  readonly out?: Signal<boolean>;
  readonly children?: ComponentChildren;
}

export function SheetHead({ session, out, children }: SheetHeadProps): JSX.Element {
  return (
    <header class="fixes-head">
      <button
        type="button"
        class="tool worded"
        onClick={() => {
          session.panel.value = undefined;
        }}
      >
        <Icon name="back" /> To the desk
      </button>
      {children}
      {out && (
        <button
          type="button"
          class="button"
          aria-expanded={out.value}
          onClick={() => {
            out.value = !out.value;
          }}
        >
          <Icon name="out" /> Hand out
        </button>
      )}
    </header>
  );
}
