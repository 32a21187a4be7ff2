/** Says of drawings whose newer takes were taken in that they are clean now, in the name of who took them in. */
import { person } from '../desk/table.ts';
import { arrivedBodies } from '../note/arrived.ts';
import { latestStamp, tick } from '../note/clock.ts';
import type { Entry } from '../note/entry.ts';
import { mergeNotes } from '../note/merge.ts';
import type { Shelf } from '../shelf/types.ts';
import type { Shot } from '../shot/model.ts';

export async function sayArrived(
  shelf: Shelf,
  newId: () => string,
  { before, after }: { readonly before: Shot; readonly after: Shot },
): Promise<void> {
  const entries = await shelf.entries(after.id);
  let stamp = latestStamp(entries.map((entry) => entry.stamp));
  const said = arrivedBodies(before, after, mergeNotes(entries)).map((body): Entry => {
    stamp = tick(stamp, Date.now());
    return { v: 1, id: newId(), shot: after.id, writer: { ...person.peek() }, stamp, body };
  });
  if (said.length > 0) await shelf.addEntries(said, false);
}
