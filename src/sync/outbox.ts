/** What was written here and is not with the studio yet: sent in the order it was written, kept until it is. */
import type { Entry, Person } from '../note/entry.ts';
import { compareEntries } from '../note/union.ts';
import type { Shelf } from '../shelf/types.ts';
import type { Studio } from './studio.ts';
import { StudioError } from './studio-answers.ts';

/** An entry the server turned down. It stays on this tablet. */
export interface RefusedHere {
  readonly id: string;
  readonly reason: string;
}

const refusedKey = 'sync:refused';
const ownIdsKey = 'sync:own ids';

/** Half of what the server takes at once: an answer comes sooner on a weak network. */
const batchBytes = 4e6;
const batchEntries = 200;

/** What the studio does not have from here: what still has to go, in order, and what it turned down. */
export interface UnsentHere {
  readonly waiting: readonly Entry[];
  readonly refused: readonly RefusedHere[];
}

/** A refusal is over when its entry came to the studio another way, as from a tablet of its writer's. */
export async function unsentHere(shelf: Shelf): Promise<UnsentHere> {
  const unsent = await shelf.unsent();
  const ids = new Set(unsent.map(({ id }) => id));
  const told = (await shelf.value<RefusedHere[]>(refusedKey)) ?? [];
  const refused = told.filter(({ id }) => ids.has(id));
  const turnedDown = new Set(refused.map(({ id }) => id));
  return { waiting: unsent.filter(({ id }) => !turnedDown.has(id)).sort(compareEntries), refused };
}

/** Tries them again, for instance with a new pass. */
export async function forgetRefusals(shelf: Shelf): Promise<void> {
  await shelf.dropValue(refusedKey);
}

/** Remembers an id under which this tablet wrote before it joined. */
export async function rememberOwnId(shelf: Shelf, ownId: string): Promise<void> {
  const known = (await shelf.value<string[]>(ownIdsKey)) ?? [];
  if (!known.includes(ownId)) await shelf.keepValue(ownIdsKey, [...known, ownId]);
}

/**
 * Sends all that waits, in batches; an entry is marked as sent when the server acknowledged it, never
 * before. A batch cut off in the middle is sent again, which changes nothing. Resolves to true when
 * something is worth sending again after a pull (it speaks of what has not arrived there yet).
 */
export async function sendOutbox(shelf: Shelf, studio: Studio, person: Person | undefined): Promise<boolean> {
  const ownIds = new Set(await shelf.value<string[]>(ownIdsKey));
  let early = false;
  for (const batch of inBatches((await unsentHere(shelf)).waiting)) {
    const signed = batch.map((entry) => sign(entry, person, ownIds));
    const { accepted, refused } = await postOrSplit(studio, signed);
    if (accepted.length > 0) await shelf.markSent(accepted);
    const final = refused.filter(({ code }) => code !== 'early');
    early ||= final.length < refused.length;
    if (final.length === 0) continue;
    const { refused: known } = await unsentHere(shelf);
    const added = final.map(({ id = '', reason }) => ({ id, reason }));
    await shelf.keepValue(refusedKey, [...known, ...added]);
  }
  return early;
}

/** What was written here before joining goes out under the name and role of the pass. */
function sign(entry: Entry, person: Person | undefined, ownIds: ReadonlySet<string>): Entry {
  const ours = person && (entry.writer.id === person.id || ownIds.has(entry.writer.id));
  return ours ? { ...entry, writer: person } : entry;
}

async function postOrSplit(
  studio: Studio,
  batch: readonly Entry[],
): Promise<Awaited<ReturnType<Studio['post']>>> {
  try {
    return await studio.post(batch);
  } catch (error) {
    if (!(error instanceof StudioError) || error.status !== 413) throw error;
    const [first] = batch;
    if (batch.length === 1 && first) {
      return { accepted: [], refused: [{ id: first.id, code: 'size', reason: error.message }] };
    }
    const middle = batch.length >> 1;
    const halves = [
      await postOrSplit(studio, batch.slice(0, middle)),
      await postOrSplit(studio, batch.slice(middle)),
    ];
    return {
      accepted: halves.flatMap((half) => half.accepted),
      refused: halves.flatMap((half) => half.refused),
    };
  }
}

function inBatches(entries: readonly Entry[]): Entry[][] {
  const batches: Entry[][] = [];
  let room = 0;
  for (const entry of entries) {
    const bytes = JSON.stringify(entry).length;
    const last = batches.at(-1);
    if (last && bytes <= room && last.length < batchEntries) {
      last.push(entry);
      room -= bytes;
    } else {
      batches.push([entry]);
      room = batchBytes - bytes;
    }
  }
  return batches;
}
