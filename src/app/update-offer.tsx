/** A newer Fairpeg waits; it comes when the person says so, after everything is written down. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { sentenceOf } from '../error/sentence.ts';
import type { Updates } from '../sync/update.ts';

export function UpdateOffer({ updates }: { updates: Updates }): JSX.Element | null {
  const later = useSignal(false);
  /** What came of the last press; nothing yet where it is empty. */
  const said = useSignal('');
  if (!updates.ready.value || later.value) return null;
  const change = (): void => {
    said.value = 'Changing to it, as soon as everything is written down.';
    updates.apply().catch((error: unknown) => {
      said.value = sentenceOf(error);
    });
  };
  return (
    <div class="update" role="status">
      <span>{said.value || 'A newer Fairpeg is here. Your place is kept.'}</span>
      <button type="button" class="button" onClick={change}>
        Change to it
      </button>
      <button
        type="button"
        class="button"
        onClick={() => {
          later.value = true;
        }}
      >
        Later
      </button>
    </div>
  );
}
