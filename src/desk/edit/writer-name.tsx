/** Who edits here; asked once, lightly, never in the way. */
import type { JSX } from 'preact';
import { person, setPerson } from '../table.ts';

export function WriterName(): JSX.Element {
  return (
    <label class="field">
      Your name, for the record of edits
      <input
        type="text"
        autocomplete="name"
        maxLength={200}
        placeholder="not given"
        value={person.value.name}
        onChange={(event) => setPerson({ name: event.currentTarget.value.trim() })}
      />
    </label>
  );
}
