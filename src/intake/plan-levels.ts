/** Series into levels. */
import { groupBy } from '../shot/group-by.ts';
import type { Layer } from './names.ts';
import type { Notes, ShotInput } from './plan-input.ts';
import type { Series } from './plan-layers.ts';

type Sided = Series & { readonly layer: Layer };
interface Placed {
  readonly level: string;
  readonly series: Sided;
}

/**
 * Levels by folder, and by name where one folder holds several series of a layer. A level with roughs alone
 * and one with cleans alone, of the same numbers, are one. Levels are then matched with those that
 * `shot.json` or the shot added to has.
 */
export function assignLevels(series: readonly Sided[], input: ShotInput, notes: Notes): Placed[] {
  const placed = joinHalves(byFolderAndName(series), input, notes);
  return matchKnown(placed, input, notes);
}

function byFolderAndName(series: readonly Sided[]): Placed[] {
  return [...groupBy(series, ({ folderWords }) => folderWords.toLowerCase())].flatMap(([, group]) => {
    const perLayer = (['rough', 'clean'] as const).map(
      (layer) =>
        new Set(group.filter((one) => one.layer === layer).map(({ nameWords }) => nameWords.toLowerCase())),
    );
    const byName = perLayer.some((words) => words.size > 1);
    const prefix = byName ? commonWords(group.map(({ nameWords }) => nameWords)) : 0;
    const folder = group[0]?.folderWords ?? '';
    return group.map((one): Placed => {
      const rest = byName ? one.nameWords.split(' ').slice(prefix).join(' ') : '';
      return { level: [folder, rest].filter(Boolean).join('/'), series: one };
    });
  });
}

/** How many words at the start all have in common. */
function commonWords(names: readonly string[]): number {
  const [first = [], ...rest] = names.map((name) => name.toLowerCase().split(' '));
  const end = first.findIndex((word, i) => rest.some((words) => words[i] !== word));
  return end < 0 ? first.length : end;
}

/** One level with roughs alone beside one with cleans alone. */
function joinHalves(placed: readonly Placed[], { answers }: ShotInput, notes: Notes): Placed[] {
  const levels = groupBy(placed, ({ level }) => level);
  const only = (layer: Layer) =>
    [...levels.values()].filter((ofLevel) => ofLevel.every(({ series }) => series.layer === layer));
  const [roughs, cleans] = [only('rough'), only('clean')];
  const [rough, clean] = [roughs[0], cleans[0]];
  if (!rough || !clean || roughs.length > 1 || cleans.length > 1 || overlap(rough, clean) < 0.5)
    return [...placed];
  const [a, b] = [rough[0]?.level ?? '', clean[0]?.level ?? ''];
  const name = levels.size === 2 ? '' : a.length <= b.length ? a : b;
  // Where each folder says both its level and its layer for certain, they may well be two.
  const doubtful = [...rough, ...clean].every(({ series }) => series.hint.sure && series.folderWords !== '');
  if (doubtful) {
    const question = {
      id: `join:${a}:${b}`,
      text: `${a} has only roughs and ${b} only cleans. Are they the same level?`,
      files: [...rough, ...clean].flatMap(({ series }) => series.members.slice(0, 3).map(({ file }) => file)),
      choices: [
        { value: 'same', text: 'The same level' },
        { value: 'two', text: 'Two levels' },
      ],
      guess: 'two',
    };
    notes.questions.push(question);
    if ((answers.get(question.id) ?? question.guess) === 'two') return [...placed];
  }
  const joined = new Set([...rough, ...clean]);
  return placed.map((one) => (joined.has(one) ? { ...one, level: name } : one));
}

/** Share of the smaller half's numbers that the other has too. */
function overlap(a: readonly Placed[], b: readonly Placed[]): number {
  const [x, y] = [a, b].map(
    (half) => new Set(half.flatMap(({ series }) => series.members.map(({ label }) => label))),
  ) as [Set<string>, Set<string>];
  const both = [...x].filter((label) => y.has(label)).length;
  return both / Math.max(1, Math.min(x.size, y.size));
}

function matchKnown(
  placed: readonly Placed[],
  { shotFile, into, answers }: ShotInput,
  notes: Notes,
): Placed[] {
  const known = (into?.levels ?? shotFile?.levels ?? []).map(({ name }) => name);
  const [only, ...more] = known;
  const found = new Set(placed.map(({ level }) => level));
  if (only === undefined) return [...placed];
  if (more.length === 0 && found.size === 1) return placed.map((one) => ({ ...one, level: only }));
  const match = new Map(
    [...found].map((level) => [level, known.find((name) => name.toLowerCase() === level.toLowerCase())]),
  );
  return placed.map((one) => {
    const name = match.get(one.level);
    if (name !== undefined || !into) return { ...one, level: name ?? one.level };
    const id = `level:${one.level}`;
    const guess = known.length === 1 ? only : '+';
    if (!notes.questions.some((question) => question.id === id))
      notes.questions.push({
        id,
        text: `Which level of ${into.title} do these drawings belong to${one.level ? ` (${one.level})` : ''}?`,
        files: placed
          .filter(({ level }) => level === one.level)
          .flatMap(({ series }) => series.members.map(({ file }) => file)),
        choices: [
          ...known.map((name) => ({
            value: name,
            text: name || (known.length === 1 ? 'The only level' : 'The level without a name'),
          })),
          { value: '+', text: `A new level${one.level ? `, ${one.level}` : ''}` },
        ],
        guess,
      });
    const answer = answers.get(id) ?? guess;
    return { ...one, level: answer === '+' ? one.level || 'new' : answer };
  });
}
