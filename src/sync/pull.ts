/** Fetches what others wrote, from where this tablet stopped, and finds out what the studio has lost. */
import type { Entry } from '../note/entry.ts';
import type { Shelf } from '../shelf/types.ts';
import type { Studio } from './studio.ts';

/**
 * Adds a shot's new entries to the shelf, page by page; the place is remembered after each, so that a pull cut off in
 * the middle goes on there. A place belongs to one server and to the entry that lies there: where the server is
 * another, or has another entry at that place (it was restored from an older copy), the shot is fetched from the start.
 * What a studio had acknowledged and is not there in the end is to be sent again.
 */
export async function pullShot(shelf: Shelf, studio: Studio, server: string, shotId: string): Promise<void> {
  let place = await shelf.fetchedTo(shotId, server);
  if (place.at === 0) await shelf.fetchAgain(shotId, server);
  // Those sent meanwhile may lie beyond the last page.
  let awaited = await acknowledged(shelf, shotId);
  let isFromStart = place.at === 0;
  for (let more = true; more; ) {
    const page = await studio.entriesAfter(shotId, place.at);
    // Once at most: an earlier server does not say what lies there.
    if (!isFromStart && page.at !== place.id) {
      isFromStart = true;
      await shelf.fetchAgain(shotId, server);
      awaited = await acknowledged(shelf, shotId);
      place = { at: 0 };
      continue;
    }
    const { entries, seals, unread, cursor, lastId = place.id } = page;
    const next = { at: cursor, ...(lastId !== undefined && { id: lastId }) };
    if (cursor !== place.at)
      await shelf.addEntries(entries, 'studio', {
        shotId,
        server,
        from: place.at,
        to: cursor,
        seals,
        unread,
        ...(lastId !== undefined && { lastId }),
      });
    place = next;
    ({ more } = page);
  }
  const ids = new Set(awaited.map(({ id }) => id));
  const lost = (await acknowledged(shelf, shotId)).filter(({ id }) => ids.has(id));
  await shelf.mark(lost, 'unsent');
}

/** What a server had once and was not seen there since, read here or not. */
async function acknowledged(shelf: Shelf, shotId: string): Promise<Pick<Entry, 'shot' | 'id'>[]> {
  const [read, unread] = await Promise.all([
    shelf.marked('sent', shotId),
    shelf.markedUnread('sent', shotId),
  ]);
  return [...read, ...unread];
}

/** Whether the studio has nothing of a shot but what this tablet has seen there. */
export async function isUpToDate(
  shelf: Shelf,
  server: string,
  shotId: string,
  listed: { readonly last: number; readonly lastId?: string | undefined } | undefined,
): Promise<boolean> {
  if (listed?.lastId === undefined) return false;
  const { at, id } = await shelf.fetchedTo(shotId, server);
  return at === listed.last && id === listed.lastId;
}
