/** A whole number from 1, with a smaller and a larger button beside its field. */
import type { JSX } from 'preact';
import { Icon } from '../icons.tsx';
import { TypedField } from '../typed-field.tsx';

interface StepperProps {
  readonly words: string;
  readonly value: number;
  /** Names for the buttons and the field, as they are read out. */
  readonly less: string;
  readonly field: string;
  readonly more: string;
  readonly least: number;
  readonly set: (value: number) => void;
}

export function Stepper({ words, value, less, field, more, least, set }: StepperProps): JSX.Element {
  return (
    <div class="stepper">
      <span>{words}</span>
      <button type="button" aria-label={less} disabled={value <= least} onClick={() => set(value - 1)}>
        <Icon name="farther" />
      </button>
      <TypedField
        type="number"
        min={least}
        step={1}
        aria-label={field}
        value={value}
        typed={({ valueAsNumber: typed }) => {
          if (Number.isInteger(typed) && typed >= least) set(typed);
        }}
      />
      <button type="button" aria-label={more} onClick={() => set(value + 1)}>
        <Icon name="nearer" />
      </button>
    </div>
  );
}
