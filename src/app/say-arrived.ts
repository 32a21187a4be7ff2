/**
 * Says of drawings whose newer takes are taken in that they are clean now, in the name of who takes them in;
 * before they are kept, as an approval must not pass to a take that nobody saw. A pack brings what was said of
 * its takes with it, so nothing is said over it.
 */
import { person } from '../desk/table.ts';
import type { Newer } from '../intake/types.ts';
import { arrivedBodies } from '../note/arrived.ts';
import { latestStamp, tick } from '../note/clock.ts';
import type { Entry } from '../note/entry.ts';
import { mergeNotes } from '../note/merge.ts';
import type { Shelf } from '../shelf/types.ts';

export async function sayArrived(
  shelf: Shelf,
  newId: () => string,
  { before, after, beside }: Newer,
): Promise<void> {
  if (beside.some(({ name }) => name === 'entries.json')) return;
  const entries = await shelf.entries(after.id);
  let stamp = latestStamp(entries.map((entry) => entry.stamp));
  const said = arrivedBodies(before, after, mergeNotes(entries)).map((body): Entry => {
    stamp = tick(stamp, Date.now());
    return { v: 1, id: newId(), shot: after.id, writer: { ...person.peek() }, stamp, body };
  });
  if (said.length > 0) await shelf.addEntries(said, false);
}
