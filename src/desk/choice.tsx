/** One of a few, in a row under its name. */
import type { JSX } from 'preact';

interface ChoiceProps<K extends string> {
  readonly name: string;
  readonly words: Readonly<Record<K, string>>;
  readonly now: K;
  readonly choose: (value: K) => void;
}

export function Choice<K extends string>({ name, words, now, choose }: ChoiceProps<K>): JSX.Element {
  return (
    <div role="group" aria-label={name}>
      <p class="choice-name">{name}</p>
      <div class="choice-row tight">
        {(Object.keys(words) as K[]).map((value) => (
          <button key={value} type="button" aria-pressed={now === value} onClick={() => choose(value)}>
            {words[value]}
          </button>
        ))}
      </div>
    </div>
  );
}
