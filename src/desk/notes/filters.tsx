/** What of the list is shown: by state, by person, by the role of the drawing. */
import type { JSX } from 'preact';
import { noteStateSchema } from '../../note/entry.ts';
import { roleWords } from '../edits.ts';
import { FilterSelect } from '../filter-select.tsx';
import type { Session } from '../session.ts';
import { type Filter, peopleOf } from './listing.ts';
import { notesOf } from './notes-desk.ts';

const states: readonly (readonly [Filter['state'], string])[] = [
  ['live', 'not approved'],
  ...noteStateSchema.options.map((state) => [state, state] as const),
  ['all', 'all'],
  ['withdrawn', 'withdrawn'],
];

export function Filters({ session }: { session: Session }): JSX.Element {
  const desk = notesOf(session);
  const filter = desk.filter.value;
  const select = <K extends keyof Filter>(
    field: K,
    label: string,
    choices: readonly (readonly [Filter[K], string])[],
  ): JSX.Element => (
    <FilterSelect
      label={label}
      value={filter[field]}
      choices={choices}
      choose={(value) => {
        desk.filter.value = { ...filter, [field]: value };
      }}
    />
  );
  return (
    <div class="filters choice" role="group" aria-label="Which notes the list shows">
      {select('state', 'State', states)}
      {select('person', 'Person', [['', 'everyone'], ...peopleOf(desk.notes.value)])}
      {select('role', 'Role of the drawing', [
        ['', 'all drawings'],
        ['key', `${roleWords.key}s`],
        ['breakdown', `${roleWords.breakdown}s`],
        ['inbetween', `${roleWords.inbetween}s`],
      ])}
    </div>
  );
}
