/** The button that sends a shot on its way, and how far it is. */
import type { JSX } from 'preact';
import { sizeWords } from '../sizes.ts';
import type { Carry } from './carry.ts';

interface CarryLineProps {
  readonly carry: Carry;
  /** `Keep The kettle on this tablet`. */
  readonly label: string;
  readonly word: string;
}

export function CarryLine({ carry, label, word }: CarryLineProps): JSX.Element {
  const now = carry.state.value;
  if (now.at === 'under way')
    return (
      <span class="carry">
        <progress
          aria-label={label}
          {...(now.totalBytes > 0 && { max: now.totalBytes, value: now.doneBytes })}
        />
        <span>
          {now.totalBytes > 0 ? `${sizeWords(now.doneBytes)} of ${sizeWords(now.totalBytes)}` : 'Asking …'}
        </span>
        <button type="button" class="button" onClick={carry.stop}>
          Stop
        </button>
      </span>
    );
  return (
    <span class="carry">
      {now.at === 'failed' && <span role="alert">{now.says} What arrived is kept.</span>}
      {now.at === 'stopped' && <span>Stopped; what arrived is kept.</span>}
      <button type="button" class="button" aria-label={label} onClick={carry.go}>
        {now.at === 'rest' ? word : 'Go on'}
      </button>
    </span>
  );
}
