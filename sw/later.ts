/** What the first screens and flipping do without: kept as soon as the app is installed. */
import { keepOneBefore } from './before.ts';

const CACHE = 'fairpeg-later';

export async function laterResponse(request: Request): Promise<Response> {
  const cache = await caches.open(CACHE);
  const kept = await cache.match(request.url);
  if (kept !== undefined) return kept;
  const fetched = await fetch(request.url);
  if (fetched.ok) await cache.put(request.url, fetched.clone());
  return fetched;
}

/** Fetches what is missing, one after the other. Resolves to how many are not kept; they are asked for again. */
export async function keepLater(urls: readonly string[]): Promise<number> {
  const cache = await caches.open(CACHE);
  let lacking = 0;
  for (const url of urls) {
    if ((await cache.match(url)) !== undefined) continue;
    await cache.add(url).catch(() => {
      lacking++;
    });
  }
  return lacking;
}

export async function dropOldLater(urls: readonly string[]): Promise<void> {
  const cache = await caches.open(CACHE);
  for (const { url } of await cache.keys()) {
    if (urls.includes(url)) continue;
    const kept = await cache.match(url);
    if (kept) await keepOneBefore(url, kept);
    await cache.delete(url);
  }
}
