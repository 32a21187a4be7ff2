/**
 * Shots on the shelf: each is made of its entries (`note/shot-of.ts`). Those it is made of are kept once more by
 * themselves, so that thousands of notes are not read for a title; what they make is kept as well.
 */
import { compareStamps, firstStamp } from '../note/clock.ts';
import type { Entry, Stamp } from '../note/entry.ts';
import { originEntries } from '../note/origin.ts';
import { shotBodies } from '../note/shot-bodies.ts';
import { makesShot, shotOf, withoutPictures } from '../note/shot-of.ts';
import { type Author, goesWithShot, writtenEntries } from '../note/written.ts';
import { imagesOf } from '../shot/images-of.ts';
import type { ImageRef, Shot } from '../shot/model.ts';
import { lastOf } from './kept-images.ts';
import type { Records } from './store.ts';
import { ShelfError } from './types.ts';

/** What is to be told after a write. */
export interface Touched {
  /** Shots that lie on the shelf and changed. */
  readonly shots: ReadonlySet<string>;
}

const imagesHere = async (records: Records): Promise<Set<string>> =>
  new Set((await records.keys(['image'])).map(lastOf));

/** The shots as they can be shown: without pictures that are not here yet. */
export async function shotsHere(records: Records): Promise<Shot[]> {
  const [shots, here] = await Promise.all([records.all<Shot>(['shot']), imagesHere(records)]);
  return shots.map((shot) => shown(shot, here));
}

export async function shotHere(records: Records, id: string): Promise<Shot | undefined> {
  const [shot, here] = await Promise.all([records.get<Shot>(['shot', id]), imagesHere(records)]);
  return shot && shown(shot, here);
}

/** Pictures of a shot that are not here, whether or not it lies on the shelf. */
export async function lackingOf(records: Records, id: string): Promise<ImageRef[]> {
  const [paper, here] = await Promise.all([records.all<Entry>(['paper', id]), imagesHere(records)]);
  const shot = shotOf(id, paper);
  return shot ? imagesOf(shot).filter(({ sha256 }) => !here.has(sha256)) : [];
}

function shown(shot: Shot, here: ReadonlySet<string>): Shot {
  const lacking = imagesOf(shot).filter(({ sha256 }) => !here.has(sha256));
  return withoutPictures(shot, new Set(lacking.map(({ sha256 }) => sha256)));
}

/** How an entry stands to what was here: `new`, the `same`, or `other` than the one that has its id, which stays. */
export type Stands = 'new' | 'same' | 'other';

/** Adds entries that are not there yet, and from the studio also what is its to say of those that are. */
export async function putEntries(
  records: Records,
  entries: readonly Entry[],
  from: 'here' | 'studio' | 'file',
  mark: (entry: Entry, stands: Stands) => void,
): Promise<Touched> {
  const paper = new Set<string>();
  const latest = new Map<string, Stamp>();
  // Nothing is asked of what is there, or a first sync would cost more with every page.
  const add = async (entry: Entry): Promise<void> => {
    const isNew = await records.putNew(['entry', entry.shot, entry.id], entry);
    const known = isNew ? 'new' : from === 'studio' ? await heldAgainst(records, entry) : 'same';
    mark(entry, known === 'older' ? 'same' : known);
    if (known === 'older') records.put(['entry', entry.shot, entry.id], entry);
    else if (known !== 'new') return;
    const before = latest.get(entry.shot);
    if (!before || compareStamps(before, entry.stamp) < 0) latest.set(entry.shot, entry.stamp);
    if (!makesShot(entry)) return;
    records.put(['paper', entry.shot, entry.id], entry);
    paper.add(entry.shot);
  };
  await Promise.all(entries.map(add));
  for (const [id, stamp] of latest)
    if (compareStamps(await clockOf(records, id), stamp) < 0) records.put(['clock', id], stamp);
  const shots = new Set<string>();
  for (const id of paper) {
    if ((await records.get(['shot', id])) === undefined) continue;
    const shot = shotOf(id, await records.all<Entry>(['paper', id]));
    if (shot) records.put(['shot', id], shot);
    shots.add(id);
  }
  return { shots };
}

/**
 * The studio's copy of an entry against ours: `older` when ours gives way, as it does before a writer's name by the
 * pass, and where it came out of a file, so that nobody can plant a false copy of what somebody will say.
 */
async function heldAgainst(records: Records, theirs: Entry): Promise<'same' | 'other' | 'older'> {
  const [ours, brought] = await Promise.all([
    records.get<Entry>(['entry', theirs.shot, theirs.id]),
    records.get(['brought', theirs.shot, theirs.id]),
  ]);
  if (JSON.stringify(ours) === JSON.stringify(theirs)) return 'same';
  const signed = { ...ours, writer: theirs.writer };
  return brought || JSON.stringify(signed) === JSON.stringify(theirs) ? 'older' : 'other';
}

/** Marks what no studio has: what goes by itself, and what goes with its shot. */
export function markUnsent(records: Records, entry: Entry): void {
  records.put([goesWithShot(entry) ? 'held' : 'unsent', entry.shot, entry.id], true);
}

/** The latest stamp of a shot's entries. */
const clockOf = async (records: Records, id: string): Promise<Stamp> =>
  (await records.get<Stamp>(['clock', id])) ?? firstStamp;

/**
 * Says what makes `change`'s shot of the one that the entries here make, and puts it on the shelf. What a new shot
 * brings is said by nobody.
 */
export async function sayChange(
  records: Records,
  id: string,
  change: (now: Shot | undefined) => Shot,
  author: Author,
): Promise<{ readonly shot: Shot; readonly isNew: boolean }> {
  const [paper, onShelf, here] = await Promise.all([
    records.all<Entry>(['paper', id]),
    records.get<Shot>(['shot', id]),
    imagesHere(records),
  ]);
  const now = shotOf(id, paper);
  const after = change(now);
  const known = new Set(now && imagesOf(now).map(({ sha256 }) => sha256));
  const missing = imagesOf(after).filter(({ sha256 }) => !here.has(sha256) && !known.has(sha256)).length;
  const bodies = shotBodies(after, now);
  const entries = now
    ? writtenEntries(id, bodies, author, await clockOf(records, id))
    : originEntries(id, bodies);
  const shot = shotOf(id, [...paper, ...entries]);
  if (missing > 0 || !shot) {
    throw new ShelfError(
      'missing',
      `${missing} of the drawings of “${after.title}” are not kept on this tablet; nothing was changed: take the shot in again.`,
    );
  }
  await putEntries(records, entries, 'here', (entry, stands) => {
    if (stands === 'new') markUnsent(records, entry);
  });
  if (entries.length > 0 || !onShelf) records.put(['shot', id], shot);
  return { shot: shown(shot, here), isNew: entries.length > 0 || !onShelf };
}
