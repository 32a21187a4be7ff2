/** A part of the panel under its heading, opened only when asked for. */
import { useSignal } from '@preact/signals';
import type { ComponentChildren, JSX } from 'preact';

interface FoldProps {
  readonly class: string;
  readonly title: string;
  readonly children: () => ComponentChildren;
}

export function Fold({ class: name, title, children }: FoldProps): JSX.Element {
  const open = useSignal(false);
  return (
    <section class={name}>
      <h3>
        <button
          type="button"
          class="in-text"
          aria-expanded={open.value}
          onClick={() => {
            open.value = !open.peek();
          }}
        >
          {title}
        </button>
      </h3>
      {open.value && children()}
    </section>
  );
}
