/** The outbox without a page: for the service worker. */
import type { Shelf } from '../shelf/types.ts';
import { sendOutbox, unsentHere } from './outbox.ts';
import { type Fetch, studioAt } from './studio.ts';

/** Sends what waits. Rejects while something still waits, so that the browser wakes the worker again. */
export async function sendInBackground(shelf: Shelf, base: URL, fetch: Fetch): Promise<void> {
  if ((await unsentHere(shelf)).waiting.length === 0) return;
  const studio = studioAt(base, fetch);
  const { person } = await studio.me();
  await sendOutbox(shelf, studio, person ?? undefined);
  const { waiting } = await unsentHere(shelf);
  if (waiting.length > 0) throw new Error(`${waiting.length} entries still wait.`);
}
