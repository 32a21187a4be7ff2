/** What was written here and is not with the studio yet: sent in the order it was written, kept until it is. */
import type { Entry, Person } from '../note/entry.ts';
import { folderWriter, isOrigin } from '../note/origin.ts';
import { compareEntries } from '../note/union.ts';
import type { Shelf } from '../shelf/types.ts';
import type { ImageRef } from '../shot/model.ts';
import { laterCodes, type Posted, sealedLine } from '../wire/entries.ts';
import { type ImageNeeds, picturesOf, sendPictures } from './images.ts';
import { StudioError } from './studio-answers.ts';
import { isWrittenBy } from './whose.ts';

/** An entry the server turned down. It stays on this tablet. */
export interface RefusedHere {
  readonly id: string;
  readonly code: string;
  readonly reason: string;
}

const refusedKey = 'sync:refused';

/** Half of what the server takes at once: an answer comes sooner on a weak network. */
const batchChars = 4e6;
const batchEntries = 200;

/** One entry as it is sent. */
interface Line {
  readonly shot: string;
  readonly id: string;
  /** Absent for what this version cannot read. */
  readonly entry?: Entry;
  readonly text: string;
  readonly isSealed: boolean;
}

/** What no studio has from here. */
export interface UnsentHere {
  /** To be sent, in order. */
  readonly lines: readonly Line[];
  /** How many only a tablet of their writers' can send. */
  readonly others: number;
  readonly refused: readonly RefusedHere[];
}

/** A refusal is over when its entry came to the studio another way, as from a tablet of its writer's. */
export async function unsentHere(shelf: Shelf, person: Person | undefined): Promise<UnsentHere> {
  const unsent = [...(await shelf.marked('unsent'))].sort(compareEntries);
  const [isOurs, seals, told, unread] = await Promise.all([
    isWrittenBy(shelf, person),
    shelf.seals(unsent),
    refusals(shelf),
    shelf.markedUnread('unsent'),
  ]);
  const lines: Line[] = [];
  const refused: RefusedHere[] = [];
  let others = 0;
  for (const entry of unsent) {
    const refusal = told.get(entry.id);
    const seal = seals.get(entry.id);
    const ours = isOurs(entry);
    const isTheirs = !ours && (refusal !== undefined || !(seal || isOrigin(entry)));
    // Nobody writes as the studio's folder; a studio that lost what its folder said reads it once more.
    if (isTheirs) others += entry.writer.id === folderWriter.id ? 0 : 1;
    else if (refusal) refused.push(refusal);
    // What the studio acknowledged goes back word for word; else what was written here before the person came in
    // goes out under the name and role of the pass.
    else if (seal) lines.push({ ...placeOf(entry), entry, text: sealedLine(entry, seal), isSealed: true });
    else {
      const signed = ours && person ? { ...entry, writer: person } : entry;
      lines.push({ ...placeOf(entry), entry, text: JSON.stringify(signed), isSealed: false });
    }
  }
  // Only a studio that lost it wants it, and under its seal alone: whose it is, cannot be read here.
  for (const { shot, id, value, seal } of unread) {
    const refusal = told.get(id);
    if (refusal) refused.push(refusal);
    else if (seal) lines.push({ shot, id, text: sealedLine(value, seal), isSealed: true });
    else others++;
  }
  return { lines, others, refused };
}

const placeOf = ({ shot, id }: Entry): Pick<Entry, 'shot' | 'id'> => ({ shot, id });

async function refusals(shelf: Shelf): Promise<ReadonlyMap<string, RefusedHere>> {
  const told = (await shelf.value<readonly RefusedHere[]>(refusedKey)) ?? [];
  return new Map(told.map((one) => [one.id, one]));
}

/** Tries them again, for instance with a new pass. */
export async function forgetRefusals(shelf: Shelf): Promise<void> {
  await shelf.dropValue(refusedKey);
}

/**
 * Sends all that waits, in batches, with the pictures it names; an entry is marked as sent when the server
 * acknowledged it, never before. A batch cut off in the middle is sent again, which changes nothing. What speaks of
 * something that has not arrived there yet goes on waiting, and may go after a pull.
 */
export async function sendOutbox(needs: ImageNeeds, person: Person | undefined): Promise<void> {
  for (const batch of inBatches((await unsentHere(needs.shelf, person)).lines)) {
    // An entry given back is taken without its picture, and who has that would never learn that it is wanted.
    const nowhere = await sendPictures(needs, picturesIn(batch.filter(({ isSealed }) => isSealed)));
    const whole = batch.filter((line) => !nowhere.has(pictureOf(line)));
    const refused = whole.length > 0 ? await post(needs, whole) : [];
    const early = new Set(refused.flatMap(({ code, id }) => (code === 'early' ? [id] : [])));
    const pictured = whole.filter((line) => early.has(line.id) && pictureOf(line) !== '');
    const missing = await sendPictures(needs, picturesIn(pictured));
    const turnedDown = pictured.flatMap((line) => {
      const reason = missing.get(pictureOf(line));
      return reason === undefined ? [] : [{ id: line.id, code: 'picture', reason }];
    });
    await writeDown(needs.shelf, turnedDown);
    const again = pictured.filter((line) => !missing.has(pictureOf(line)));
    if (again.length > 0) await post(needs, again);
  }
}

const picturesIn = (lines: readonly Line[]): ImageRef[] =>
  picturesOf(lines.flatMap(({ entry }) => entry ?? []));

/** The hash of the picture that an entry names; empty for none. */
const pictureOf = (line: Line): string => picturesIn([line])[0]?.sha256 ?? '';

async function writeDown(shelf: Shelf, refused: readonly RefusedHere[]): Promise<void> {
  if (refused.length === 0) return;
  const known = await refusals(shelf);
  await shelf.keepValue(refusedKey, [...known.values(), ...refused]);
}

/** Marks what the server took and writes down what it turned down; resolves to all it did not take. */
async function post({ shelf, studio }: ImageNeeds, lines: readonly Line[]): Promise<Posted['refused']> {
  const { accepted, refused } = await postOrSplit(studio, lines);
  const ids = new Set(accepted);
  await shelf.mark(
    lines.filter(({ id }) => ids.has(id)),
    'sent',
  );
  const final = refused.filter(({ code }) => !laterCodes.has(code));
  await writeDown(
    shelf,
    final.map(({ id = '', code, reason }) => ({ id, code, reason })),
  );
  return refused;
}

/** A server, or a proxy before it, that takes less at once gets halves; one entry too large stays here. */
async function postOrSplit(studio: ImageNeeds['studio'], lines: readonly Line[]): Promise<Posted> {
  try {
    return await studio.post(lines.map(({ text }) => text));
  } catch (error) {
    if (!(error instanceof StudioError) || error.status !== 413) throw error;
    const [first] = lines;
    if (lines.length === 1 && first) {
      return { accepted: [], refused: [{ id: first.id, code: 'size', reason: error.message }] };
    }
    const middle = lines.length >> 1;
    const one = await postOrSplit(studio, lines.slice(0, middle));
    const other = await postOrSplit(studio, lines.slice(middle));
    return {
      accepted: [...one.accepted, ...other.accepted],
      refused: [...one.refused, ...other.refused],
    };
  }
}

function inBatches(lines: readonly Line[]): Line[][] {
  const batches: Line[][] = [];
  let room = 0;
  for (const line of lines) {
    const last = batches.at(-1);
    if (last && line.text.length <= room && last.length < batchEntries) last.push(line);
    else {
      batches.push([line]);
      room = batchChars;
    }
    room -= line.text.length;
  }
  return batches;
}
