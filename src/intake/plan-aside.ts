/** What was laid aside or named unlike the rest is asked about, and left out until someone says otherwise. */
import { groupBy } from '../shot/group-by.ts';
import { type Layer, levelWords } from './names.ts';
import type { Notes, ShotInput } from './plan-input.ts';
import type { Series } from './plan-layers.ts';

/** Names of folders for what no longer counts (common practice, no source). */
const asideWords = new Set(
  'old older backup backups bak archive archived unused trash discarded rejected previous prev obsolete superseded alt ancien anciens vecchio viejo 旧'.split(
    ' ',
  ),
);

const isAside = (folder: string): boolean =>
  levelWords(folder)
    .toLowerCase()
    .split(' ')
    .some((word) => asideWords.has(word));

/** Series without those that lie below a folder named *old* or its like, unless they are wanted. */
export function settleAside(series: readonly Series[], input: ShotInput, notes: Notes): Series[] {
  const depth = input.folder === '' ? 0 : input.folder.split('/').length;
  const folderOf = ({ members }: Series): string | undefined =>
    members[0]?.file.path.split('/').slice(depth, -1).find(isAside);
  const known = knownLevels(input);
  return [...groupBy(series, folderOf)].flatMap(([folder, group]) => {
    if (folder === undefined || known.has(folder.toLowerCase())) return group;
    const count = group.reduce((sum, { members }) => sum + members.length, 0);
    const wanted = ask(group, notes, input, {
      id: `aside:${folder}`,
      text: `The folder “${folder}” holds ${count === 1 ? 'one more drawing' : `${count} more drawings`}. Do they belong to the shot?`,
      why: `it lies in a folder named “${folder}”`,
      todo: 'Give the folder the name of its level if it counts.',
      choices: [
        { value: 'none', text: 'Leave out' },
        { value: 'level', text: 'Take in, as a level of its own' },
      ],
    });
    return wanted === 'none' ? [] : group;
  });
}

type Sided = Series & { readonly layer: Layer };

/** A few files beside many of the same folder and layer are strays; a level has a series of its own. */
const strayShare = 0.25;

/** Series whose words in the name would make them a level of a few drawings beside many: asked one by one. */
export function settleStrays(series: readonly Sided[], input: ShotInput, notes: Notes): Sided[] {
  const known = knownLevels(input);
  const counterpart = (one: Sided) =>
    series.some(
      (other) =>
        other.layer !== one.layer &&
        other.folderWords === one.folderWords &&
        other.nameWords.toLowerCase() === one.nameWords.toLowerCase(),
    );
  return series.flatMap((one) => {
    const beside = series.filter(
      (other) =>
        other.layer === one.layer &&
        other.folderWords.toLowerCase() === one.folderWords.toLowerCase() &&
        other.nameWords.toLowerCase() !== one.nameWords.toLowerCase(),
    );
    const [main] = beside.sort((a, b) => b.members.length - a.members.length);
    if (
      !main ||
      one.nameWords === '' ||
      one.members.length > main.members.length * strayShare ||
      known.has(one.nameWords.toLowerCase()) ||
      counterpart(one)
    )
      return [one];
    const names = one.members.map(({ file }) => file.path.split('/').at(-1));
    const answer = ask([one], notes, input, {
      id: `stray:${one.id}`,
      text: `${names.slice(0, 3).join(', ')}${names.length > 3 ? ` and ${names.length - 3} more are` : names.length > 1 ? ' are' : ' is'} named unlike the ${main.members.length} drawings beside. What is it?`.replace(
        /(are named.*)What is it\?$/,
        '$1What are they?',
      ),
      why: `it is named unlike the ${main.members.length} drawings beside it`,
      todo: 'Give it a name like theirs if it counts.',
      choices: [
        { value: 'none', text: 'Leave out' },
        {
          value: 'same',
          text: `One of those: ${one.layer} ${one.members
            .map(({ label }) => label)
            .slice(0, 6)
            .join(', ')}`,
        },
        { value: 'level', text: `A level of its own, ${one.nameWords}` },
      ],
    });
    if (answer === 'none') return [];
    return [answer === 'same' ? { ...one, nameWords: main.nameWords } : one];
  });
}

function knownLevels({ shotFile, into }: ShotInput): Set<string> {
  return new Set((into?.levels ?? shotFile?.levels ?? []).map(({ name }) => name.toLowerCase()));
}

interface Asked {
  readonly id: string;
  readonly text: string;
  readonly why: string;
  readonly todo: string;
  readonly choices: readonly { readonly value: string; readonly text: string }[];
}

/** The answer; files left out are told, with why. */
function ask(
  group: readonly Series[],
  notes: Notes,
  { answers }: ShotInput,
  { id, text, why, todo, choices }: Asked,
): string {
  const files = group.flatMap(({ members }) => members.map(({ file }) => file));
  notes.questions.push({ id, text, files, choices, guess: 'none' });
  const given = answers.get(id);
  const answer = given ?? 'none';
  if (answer === 'none')
    for (const { path } of files)
      notes.odd.push(
        given === 'none'
          ? { name: path, why: 'it was left out, as answered', todo: '', taken: false }
          : { name: path, why: `it was left out: ${why}`, todo, taken: false },
      );
  return answer;
}
