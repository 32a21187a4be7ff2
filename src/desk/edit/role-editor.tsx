/** The role in traditional notation, whether it runs on, and roles for all drawings guessed from where they stand, when asked. */
import type { JSX } from 'preact';
import type { Role } from '../../shot/model.ts';
import { rolesFromPosition } from '../../shot/roles-from-position.ts';
import { chartEdit, joined, roleEdit, roleWords, runsOnEdit } from '../edits.ts';
import { Mark } from '../mark.tsx';
import type { EditorProps } from './props.ts';

const roles = Object.keys(roleWords) as Role[];

export function RoleEditor({ session, level, drawing }: EditorProps): JSX.Element {
  const guessed = rolesFromPosition(level);
  const open = level.drawings.filter(({ role }) => !role).length;
  const guessAll = (): void => {
    const edits = [
      roleEdit(level, new Map(guessed.map(({ label, role }) => [label, role]))),
      ...guessed.map(({ label, chart }) => chartEdit(level, label, chart)),
    ];
    session.edit(joined(edits, `${open} drawings have a role, guessed from where they stand`));
  };
  return (
    <fieldset class="choice">
      <legend>Role</legend>
      <div class="choice-row">
        {roles.map((role) => (
          <button
            key={role}
            type="button"
            aria-pressed={drawing.role === role}
            onClick={() => session.edit(roleEdit(level, new Map([[drawing.label, role]])))}
          >
            <Mark drawing={{ label: drawing.label, role, takes: [] }} size={15} />
            {roleWords[role]}
          </button>
        ))}
      </div>
      <div class="choice-row">
        <button
          type="button"
          aria-pressed={drawing.runsOn === true}
          onClick={() => session.edit(runsOnEdit(level, drawing.label, !drawing.runsOn))}
        >
          <Mark drawing={{ label: drawing.label, runsOn: true, takes: [] }} size={15} />
          runs on after the pose
        </button>
      </div>
      {open > 0 && (
        <p class="hint">
          {open === 1 ? '1 drawing has no role.' : `${open} drawings have no role.`}{' '}
          <button type="button" class="in-text" onClick={guessAll}>
            Guess from where they stand
          </button>
        </p>
      )}
    </fieldset>
  );
}
