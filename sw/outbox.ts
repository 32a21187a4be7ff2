declare const self: ServiceWorkerGlobalScope;

/** An open page sends better than we can (it shows what happens); ask it. */
export async function sendOutboxInBackground(): Promise<void> {
  const pages = await self.clients.matchAll({ type: 'window' });
  for (const page of pages) page.postMessage({ type: 'SEND_OUTBOX' });
}
