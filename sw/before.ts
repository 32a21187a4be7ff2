/**
 * The release before this one. A tab that still runs it loads parts of it late, from a host that may have
 * dropped them: they stay here until the release after this one comes.
 */
import { cacheNames } from 'workbox-core';

const CACHE = 'fairpeg-before';

/** Copies what the present release keeps, as the next one (`nextUrls`) is being installed. */
export async function keepBefore(nextUrls: readonly string[]): Promise<void> {
  const [present, before] = await Promise.all([caches.open(cacheNames.precache), caches.open(CACHE)]);
  const requests = (await present.keys()).filter(({ url }) => isAsset(url) && !nextUrls.includes(url));
  // Nothing is leaving, so whatever is kept of the release before is still the one before.
  if (requests.length === 0) return;
  const staying = new Set(requests.map(({ url }) => url));
  for (const request of await before.keys()) if (!staying.has(request.url)) await before.delete(request);
  for (const request of requests) {
    const kept = await present.match(request);
    if (kept) await before.put(request.url, kept);
  }
}

export async function keepOneBefore(url: string, response: Response): Promise<void> {
  await (await caches.open(CACHE)).put(url, response);
}

export const isAsset = (url: string): boolean => new URL(url).pathname.includes('/assets/');

export async function beforeResponse(request: Request): Promise<Response> {
  // In whichever cache: what a release that waits has kept is found too.
  return (await caches.match(request.url)) ?? fetch(request);
}
