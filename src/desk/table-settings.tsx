/** Who works here, hand, light, pen and keys of this tablet. Used on both screens. */
import type { JSX } from 'preact';
import { setTable, type Table, table } from './table.ts';
import { WhoIAm } from './who-i-am.tsx';

interface ChoiceProps<T extends string> {
  readonly legend: string;
  readonly value: T;
  readonly choices: readonly (readonly [value: T, words: string])[];
  readonly set: (value: T) => void;
}

function Choice<T extends string>({ legend, value, choices, set }: ChoiceProps<T>): JSX.Element {
  return (
    <fieldset class="choice">
      <legend>{legend}</legend>
      <div class="choice-row">
        {choices.map(([choice, words]) => (
          <button key={choice} type="button" aria-pressed={value === choice} onClick={() => set(choice)}>
            {words}
          </button>
        ))}
      </div>
    </fieldset>
  );
}

export function TableSettings(): JSX.Element {
  const { hand, light, keys, penButton } = table.value;
  return (
    <div class="table-settings">
      <WhoIAm />
      <Choice<Table['hand']>
        legend="I draw with"
        value={hand}
        choices={[
          ['left', 'the left hand'],
          ['right', 'the right hand'],
        ]}
        set={(value) => setTable({ hand: value })}
      />
      <Choice<Table['light']>
        legend="Surroundings"
        value={light}
        choices={[
          ['day', 'day'],
          ['dark', 'dark'],
          ['as the tablet', 'as the tablet'],
        ]}
        set={(value) => setTable({ light: value })}
      />
      <Choice<Table['penButton']>
        legend="The pen’s side button flips to"
        value={penButton}
        choices={[
          ['the last drawing', 'the last drawing and back'],
          ['the other layer', 'the other layer'],
        ]}
        set={(value) => setTable({ penButton: value })}
      />
      <Choice<'on' | 'off'>
        legend="Keys of one letter"
        value={keys ? 'on' : 'off'}
        choices={[
          ['on', 'on'],
          ['off', 'off'],
        ]}
        set={(value) => setTable({ keys: value === 'on' })}
      />
    </div>
  );
}
