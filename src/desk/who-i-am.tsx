/** Who works on this tablet and what they may do: the one place where it is seen and set. */
import type { JSX } from 'preact';
import type { Person } from '../note/entry.ts';
import { heldByPass, person, setPerson, setTable } from './table.ts';
import { WriterName } from './writer-name.tsx';

const roles: readonly Person['role'][] = ['artist', 'director', 'assistant'];

/** As `note/may.ts` has it. */
const mayWords: Readonly<Record<Person['role'], string>> = {
  artist: 'pins and answers notes, says what is fixed and clean',
  director: 'pins and answers notes, approves, reopens and withdraws them',
  assistant: 'pins and answers notes, sets roles, charts, exposures and the plan, hands out',
};

export function RoleChoice(): JSX.Element {
  const { role } = person.value;
  return (
    <fieldset class="choice">
      <legend>I work here as</legend>
      <div class="choice-row">
        {roles.map((each) => (
          <button
            key={each}
            type="button"
            aria-pressed={role === each}
            onClick={() => {
              setPerson({ role: each });
              setTable({ whoAsked: true });
            }}
          >
            {each}
          </button>
        ))}
      </div>
      <p class="hint">
        The {role} {mayWords[role]}.
      </p>
    </fieldset>
  );
}

export function WhoIAm(): JSX.Element {
  const { name, role } = person.value;
  if (heldByPass.value)
    return (
      <div class="choice">
        <b>
          {name}, {role}
        </b>
        <p class="hint">
          So the studio’s pass says. The {role} {mayWords[role]}.
        </p>
      </div>
    );
  return (
    <>
      <WriterName />
      <RoleChoice />
    </>
  );
}
