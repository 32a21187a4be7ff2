/** What of the fix list is shown: by state, person or check, role, matter, level. */
import type { JSX } from 'preact';
import { isDropFrame } from '../../shot/frame-labels.ts';
import { roleWords } from '../edits.ts';
import { FilterSelect } from '../filter-select.tsx';
import type { Session } from '../session.ts';
import { choicesOf, type FixFilter, onlyFindings, onlyNotes } from './filter.ts';
import { fixesOf } from './fixes-desk.ts';

type Choices = readonly (readonly [value: string, words: string])[];

/** No level has this name. */
const every = '\t';

const states: Choices = [
  ['live', 'not approved'],
  ['to mend', 'to mend'],
  ['fixed', 'fixed'],
  ['approved', 'approved'],
  ['all', 'all'],
];

export function FixFilters({ session }: { session: Session }): JSX.Element {
  const desk = fixesOf(session);
  const filter = desk.filter.value;
  const { levels, fps } = session.shot.value;
  const { people, abouts } = choicesOf(desk.rows.value);
  const select = (field: keyof FixFilter, label: string, choices: Choices): JSX.Element => (
    <FilterSelect
      label={label}
      value={filter[field] ?? every}
      choices={choices}
      choose={(value) => {
        desk.filter.value = { ...filter, [field]: value === every ? undefined : value };
      }}
    />
  );
  return (
    <div class="fix-filters choice" role="group" aria-label="Which rows the list shows">
      {select('state', 'State', states)}
      {select('who', 'Who says so', [
        ['', 'notes and findings'],
        [onlyNotes, 'notes alone'],
        [onlyFindings, 'findings alone'],
        ...people.map((name) => [name, name] as const),
      ])}
      {select('role', 'Role of the drawing', [
        ['', 'all drawings'],
        ['key', `${roleWords.key}s`],
        ['breakdown', `${roleWords.breakdown}s`],
        ['inbetween', `${roleWords.inbetween}s`],
      ])}
      {select('about', 'What about', [
        ['', 'all matters'],
        ...abouts.map((about) => [about, about] as const),
      ])}
      {levels.length > 1 &&
        select('level', 'Level', [[every, 'all levels'], ...levels.map(({ name }) => [name, name] as const)])}
      {isDropFrame(fps) && (
        <button
          type="button"
          aria-pressed={desk.dropFrame.value}
          onClick={() => {
            desk.dropFrame.value = !desk.dropFrame.peek();
          }}
        >
          Drop-frame
        </button>
      )}
    </div>
  );
}
