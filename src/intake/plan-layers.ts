/** Files into series (same folder, same pattern of name), and series into rough and clean. */
import { groupBy } from '../shot/group-by.ts';
import { compareLabels, longestLabel } from '../shot/labels.ts';
import {
  drawingField,
  type Layer,
  type LayerHint,
  layerHint,
  levelWords,
  nameParts,
  versionOf,
} from './names.ts';
import type { Notes, ShotInput } from './plan-input.ts';
import type { IntakeFile } from './source.ts';
import type { Question } from './types.ts';

export interface Member {
  readonly file: IntakeFile;
  readonly label: string;
  readonly version: number | undefined;
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
  const parts = files.map((file) => ({ file, name: nameParts(file.path) }));
  const numbered = parts.filter(({ name }) => name.fields.length > 0);
  // A shot of one drawing needs no numbers.
  const single = numbered.length === 0 && parts.length <= 2;
  if (!single)
    for (const { file, name } of parts)
      if (name.fields.length === 0)
        notes.odd.push({
          name: file.path,
          why: 'its name holds no number, so it is not clear which drawing it is',
          todo: 'Give it the number of its drawing and take it in again.',
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
      .map(({ file, name }) => ({
        file,
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
    why: `its number has more than ${longestLabel} digits`,
    todo: 'Give it a shorter number.',
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
    for (const { file } of one.members)
      notes.odd.push({ name: file.path, why: 'it was left out, as answered', todo: '', taken: false });
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
