/** The outbox without a page: for the service worker. */
import type { Shelf } from '../shelf/types.ts';
import { sendOutbox, unsentHere } from './outbox.ts';
import { chanceAndTime } from './platform.ts';
import { type Fetch, studioAt } from './studio.ts';

/** Sends what waits. Rejects while something still waits, so that the browser wakes the worker again. */
export async function sendInBackground(shelf: Shelf, base: URL, fetch: Fetch): Promise<void> {
  if ((await shelf.marked('unsent')).length === 0) return;
  const studio = studioAt(base, fetch);
  const person = (await studio.me()).person ?? undefined;
  await sendOutbox({ shelf, studio, platform: chanceAndTime }, person);
  const { lines } = await unsentHere(shelf, person);
  if (lines.length > 0) throw new Error(`${lines.length} entries still wait.`);
}
