/**
 * What a shot brought with it when it was first taken in, said by nobody: several machines that take in the same
 * thing (a sample, a pack, a shot of the old format) make the same entries, byte for byte, so that union makes them
 * one. Their stamps are the lowest there are: whatever somebody says goes before.
 */
import { drawingKey } from '../shot/drawing-ref.ts';
import type { Body, Entry, Person } from './entry.ts';
import { sha256 } from './sha256.ts';
import type { EntryOf } from './union.ts';

/** Writers that are no person. Their ids are nobody's: no pass has them, and no tablet writes under them. */
const origin: Person = { id: 'origin', name: 'As taken in', role: 'artist' };
export const folderWriter: Person = { id: 'studio-folder', name: 'Studio folder', role: 'artist' };

const shotKinds = [
  'shot',
  'level',
  'levels',
  'drawing',
  'rough',
  'take',
  'role',
  'chart',
  'exposure',
] as const satisfies Body['kind'][];

export function isReserved(writerId: string): boolean {
  return writerId === origin.id || writerId === folderWriter.id;
}

export function isOrigin(entry: Entry): boolean {
  return entry.writer.id === origin.id;
}

/** Kinds that say what a shot is; only these may be said by a reserved writer. */
export function isShotKind(kind: string): kind is (typeof shotKinds)[number] {
  return (shotKinds as readonly string[]).includes(kind);
}

export function isOfShot(entry: Entry): entry is EntryOf<(typeof shotKinds)[number]> {
  return isShotKind(entry.body.kind);
}

/** Each body's entry; the takes of a drawing in the order given. */
export function originEntries(shot: string, bodies: readonly Body[]): Entry[] {
  const takes = new Map<string, number>();
  return bodies.map((body) => {
    if (body.kind !== 'take') return originEntry(shot, body, 1);
    const key = drawingKey(body);
    const place = (takes.get(key) ?? 0) + 1;
    takes.set(key, place);
    return originEntry(shot, body, place);
  });
}

/** Whether an entry that claims to be of the origin is what anybody would have made of its shot and body. */
export function isTrueOrigin(entry: Entry): boolean {
  if (!isOfShot(entry)) return false;
  const { shot, body, stamp } = entry;
  return JSON.stringify(originEntry(shot, body, stamp.counter)) === JSON.stringify(entry);
}

function originEntry(shot: string, body: Body, counter: number): Entry {
  const id = `origin-${sha256(JSON.stringify([shot, counter, body]))}`;
  return { v: 1, id, shot, writer: origin, stamp: { wallMs: 0, counter }, body };
}
