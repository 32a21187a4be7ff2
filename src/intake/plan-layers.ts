/** Files into series (same folder, same pattern of name), and series into rough and clean. */
import { groupBy } from '../shot/group-by.ts';
import { compareLabels, longestLabel } from '../shot/labels.ts';
import {
  copiedFrom,
  drawingField,
  type Layer,
  type LayerHint,
  layerHint,
  levelWords,
  nameParts,
  versionOf,
  withoutEnding,
} from './names.ts';
import type { Notes, ShotInput } from './plan-input.ts';
import type { IntakeFile } from './source.ts';
import type { Question } from './types.ts';

export interface Member {
  readonly file: IntakeFile;
  readonly label: string;
  readonly version: number | undefined;
  /** Named as a copy (`7 (2).png`, `7 copy.png`) of a file that is there too. */
  readonly isCopy: boolean;
}

export interface Series {
  /** Folder and pattern, e.g. `sc04/rough/#`. */
  readonly id: string;
  /** Words of the folders below the shot's, without those for layers: a level, perhaps. */
  readonly folderWords: string;
  readonly nameWords: string;
  readonly hint: LayerHint;
  /** In label order. */
  readonly members: readonly Member[];
}

export function readSeries(files: readonly IntakeFile[], input: ShotInput, notes: Notes): Series[] {
  const stems = new Set(files.map(({ path }) => withoutEnding(path).toLowerCase()));
  const parts = files.map((file) => {
    const plain = copiedFrom(file.path);
    const isCopy = plain !== undefined && stems.has(withoutEnding(plain).toLowerCase());
    return { file, isCopy, name: nameParts(isCopy ? plain : file.path) };
  });
  const numbered = parts.filter(({ name }) => name.fields.length > 0);
  // A shot of one drawing needs no numbers.
  const single = numbered.length === 0 && parts.length <= 2;
  if (!single)
    for (const { file, name } of parts)
      if (name.fields.length === 0)
        notes.odd.push({
          name: file.path,
          why: 'it has no number in its name, so it is not clear which drawing it is',
          todo: 'Put the number of the drawing into the name and take it in again.',
          taken: false,
        });
  const depth = input.folder === '' ? 0 : input.folder.split('/').length;
  const usable = single ? parts : numbered;
  const groups = groupBy(usable, ({ name }) => [...name.folders, name.pattern].join('/'));
  return [...groups].flatMap(([id, group]): Series[] => {
    const names = group.map(({ name }) => name);
    const [first] = names;
    if (!first) return [];
    const field = drawingField(names);
    const hint = layerHint(first);
    const members = group
      .map(({ file, name, isCopy }) => ({
        file,
        isCopy,
        label: name.fields[field ?? -1]?.label ?? '1',
        version: versionOf(name),
      }))
      .filter((member) => fits(member, notes))
      .sort((a, b) => compareLabels(a.label, b.label));
    if (members.length === 0) return [];
    const folderWords = first.folders
      .slice(depth)
      .map((folder) => levelWords(folder, undefined, hint))
      .filter(Boolean)
      .join('/');
    return [
      { id, folderWords, nameWords: levelWords(first.stem, first.fields[field ?? -1], hint), hint, members },
    ];
  });
}

function fits({ file, label }: Member, notes: Notes): boolean {
  if (label.length <= longestLabel) return true;
  notes.odd.push({
    name: file.path,
    why: `it has a number of more than ${longestLabel} digits`,
    todo: 'Make the number in its name shorter.',
    taken: false,
  });
  return false;
}

/** Every series with its layer; those that were answered with “leave out” are gone and told. */
export function assignLayers(
  series: readonly Series[],
  input: ShotInput,
  notes: Notes,
): (Series & { layer: Layer })[] {
  return series.flatMap((one) => {
    const certain = one.hint.sure || (one.hint.layer && hasCounterpart(one, series));
    if (certain && one.hint.layer) return [{ ...one, layer: one.hint.layer }];
    const question = layerQuestion(one, guessLayer(one, series, input));
    notes.questions.push(question);
    const answer = input.answers.get(question.id) ?? question.guess;
    if (answer === 'rough' || answer === 'clean') return [{ ...one, layer: answer }];
    const told = input.answers.has(question.id)
      ? { why: 'it was left out, as answered', todo: '' }
      : {
          why: 'it was left out: rough and clean are there, and it is not clear whether it is either',
          todo: 'Put it into a folder named rough or clean if it counts.',
        };
    for (const { file } of one.members) notes.odd.push({ name: file.path, ...told, taken: false });
    return [];
  });
}

/** A short word such as `cu` is believed when the same numbers are there under a word for the other layer. */
function hasCounterpart(one: Series, all: readonly Series[]): boolean {
  return all.some(
    (other) => other.hint.layer && other.hint.layer !== one.hint.layer && shared(one, other) > 0,
  );
}

function shared(a: Series, b: Series): number {
  const labels = new Set(a.members.map(({ label }) => label));
  return b.members.filter(({ label }) => labels.has(label)).length;
}

function guessLayer(one: Series, all: readonly Series[], { into }: ShotInput): Layer | 'none' {
  if (one.hint.layer) return one.hint.layer;
  const others = all.filter((other) => other !== one && shared(one, other) > 0);
  const known = new Set(others.flatMap(({ hint }) => hint.layer ?? []));
  if (known.size === 2) return 'none';
  if (known.size === 1) return known.has('clean') ? 'rough' : 'clean';
  // Drawings that come to a shot already there are most often its clean-ups.
  if (into || others.length === 0) return 'clean';
  return others.every((other) => all.indexOf(other) > all.indexOf(one)) ? 'rough' : 'clean';
}

function layerQuestion(one: Series, guess: Layer | 'none'): Question {
  const count = one.members.length;
  const which = count === 1 ? 'Is this drawing' : `Are these ${count} drawings`;
  return {
    id: `layer:${one.id}`,
    text: `${which} (${one.id}) rough or clean?`,
    files: one.members.map(({ file }) => file),
    choices: [
      { value: 'rough', text: 'Rough' },
      { value: 'clean', text: 'Clean' },
      { value: 'none', text: 'Leave out' },
    ],
    guess,
  };
}
