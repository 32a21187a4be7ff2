/// <reference lib="webworker" />
import { openShelf } from '../src/shelf/open.ts';
import { sendInBackground } from '../src/sync/background.ts';

declare const self: ServiceWorkerGlobalScope;

/**
 * An open page sends better than we can (it shows what happens): ask it. With none open we send; rejects
 * while something still waits, and the browser wakes us again later.
 */
export async function sendOutboxInBackground(): Promise<void> {
  const pages = await self.clients.matchAll({ type: 'window' });
  for (const page of pages) page.postMessage({ type: 'SEND_OUTBOX' });
  if (pages.length > 0) return;
  await sendInBackground(await openShelf(), new URL(self.registration.scope), (...request) =>
    fetch(...request),
  );
}
