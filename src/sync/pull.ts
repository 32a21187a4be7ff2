/** Fetches what others wrote, from where this tablet stopped. */
import type { Shelf } from '../shelf/types.ts';
import type { Studio } from './studio.ts';

/**
 * Adds a shot's new entries to the shelf, page by page; the place is remembered after each, so that a pull
 * cut off in the middle goes on there. A place belongs to one server: another one is read from the start.
 * `last`, the place of the server's last entry where it is known, spares asking for nothing.
 */
export async function pullShot(
  shelf: Shelf,
  studio: Studio,
  server: string,
  shotId: string,
  last = Number.POSITIVE_INFINITY,
): Promise<void> {
  let place = await shelf.fetchedTo(shotId, server);
  for (let more = last > place; more; ) {
    const page = await studio.entriesAfter(shotId, place);
    if (page.entries.length > 0 || page.cursor !== place)
      await shelf.addEntries(page.entries, true, { shotId, server, from: place, to: page.cursor });
    place = page.cursor;
    ({ more } = page);
  }
}
