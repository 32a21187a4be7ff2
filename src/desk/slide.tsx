/** A slider with its name before and its value after it. */
import type { JSX } from 'preact';

interface SlideProps {
  readonly label: string;
  readonly value: number;
  readonly min: number;
  readonly max: number;
  readonly step: number;
  readonly says: string;
  readonly set: (value: number) => void;
}

export function Slide({ label, value, min, max, step, says, set }: SlideProps): JSX.Element {
  return (
    <label class="slide">
      <span>{label}</span>
      <input
        type="range"
        min={min}
        max={max}
        step={step}
        value={value}
        aria-valuetext={says}
        onInput={(event) => set(event.currentTarget.valueAsNumber)}
      />
      <output>{says}</output>
    </label>
  );
}
