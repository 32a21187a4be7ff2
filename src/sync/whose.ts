/**
 * Whose entries this tablet sends as its person's: those written under that person's id, or under an id the same
 * person had here before coming in with a code. Someone else's, on a tablet handed on, wait for a tablet of theirs.
 */
import type { Entry, Person } from '../note/entry.ts';
import type { Shelf } from '../shelf/types.ts';
import type { Me } from '../wire/people.ts';

/** What the studio said of this tablet at their last meeting. */
export const meKey = 'sync:me';
/** For each person who came in here: the ids they wrote under. In format 1, a list: those of the last one. */
const ownIdsKey = 'sync:own ids';

type OwnIds = Readonly<Record<string, readonly string[]>>;

async function ownIds(shelf: Shelf): Promise<OwnIds> {
  const [kept, me] = await Promise.all([
    shelf.value<OwnIds | readonly string[]>(ownIdsKey),
    shelf.value<Me>(meKey),
  ]);
  const last = me?.person?.id;
  const known = isList(kept) ? { [last ?? kept[0] ?? '']: kept } : { ...kept };
  return last ? { ...known, [last]: [...(known[last] ?? []), last] } : known;
}

const isList = (kept: OwnIds | readonly string[] | undefined): kept is readonly string[] =>
  Array.isArray(kept);

/** True for what the person wrote; for all, where no pass says who this is. */
export async function isWrittenBy(
  shelf: Shelf,
  person: Person | undefined,
): Promise<(entry: Entry) => boolean> {
  if (!person) return () => true;
  const ids = new Set([person.id, ...((await ownIds(shelf))[person.id] ?? [])]);
  return ({ writer }) => ids.has(writer.id);
}

/** Whether somebody who came in here wrote under that id: it is theirs for good. */
export async function isSomebodys(shelf: Shelf, id: string): Promise<boolean> {
  return Object.values(await ownIds(shelf)).some((ids) => ids.includes(id));
}

/** Remembers an id under which the person wrote before. */
export async function rememberOwnId(shelf: Shelf, person: Person, id: string): Promise<void> {
  const known = await ownIds(shelf);
  const ids = new Set([...(known[person.id] ?? []), person.id, id]);
  await shelf.keepValue(ownIdsKey, { ...known, [person.id]: [...ids] });
}
