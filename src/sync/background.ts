/** The outbox without a page: for the service worker. */
import type { Shelf } from '../shelf/types.ts';
import { sendOutbox, waitingHere } from './outbox.ts';
import { type Fetch, studioAt } from './studio.ts';

/** Sends what waits. Rejects while something still waits, so that the browser wakes the worker again. */
export async function sendInBackground(shelf: Shelf, base: URL, fetch: Fetch): Promise<void> {
  if ((await waitingHere(shelf)).length === 0) return;
  const studio = studioAt(base, fetch);
  const { person } = await studio.me();
  await sendOutbox(shelf, studio, person ?? undefined);
  const { length } = await waitingHere(shelf);
  if (length > 0) throw new Error(`${length} entries still wait.`);
}
