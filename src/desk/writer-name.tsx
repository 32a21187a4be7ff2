/** Who edits here; asked lightly, never in the way. */
import type { JSX } from 'preact';
import { person, setPerson } from './table.ts';
import { TypedField } from './typed-field.tsx';

export function WriterName(): JSX.Element {
  return (
    <label class="field">
      Your name, for the record of edits
      <TypedField
        type="text"
        autocomplete="name"
        maxLength={200}
        placeholder="not given"
        value={person.value.name}
        typed={({ value }) => setPerson({ name: value.trim() })}
      />
    </label>
  );
}
