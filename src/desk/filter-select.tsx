/** One choice by which a list is narrowed. */
import type { JSX } from 'preact';

interface FilterSelectProps<V extends string> {
  readonly label: string;
  readonly value: V;
  readonly choices: readonly (readonly [value: V, words: string])[];
  readonly choose: (value: V) => void;
}

export function FilterSelect<V extends string>({
  label,
  value,
  choices,
  choose,
}: FilterSelectProps<V>): JSX.Element {
  // What was chosen may have left the list since; it stays named, or the list would be short without a reason.
  const isThere = choices.some(([choice]) => choice === value);
  return (
    <select aria-label={label} value={value} onChange={(event) => choose(event.currentTarget.value as V)}>
      {choices.map(([choice, words]) => (
        <option key={choice} value={choice}>
          {words}
        </option>
      ))}
      {!isThere && <option value={value}>{value}</option>}
    </select>
  );
}
