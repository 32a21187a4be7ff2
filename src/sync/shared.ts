/** Files that another Android app shared with this one; the service worker stashed them (`sw/shared.ts`). */
const CACHE = 'fairpeg-shared';

/** In the order in which they were shared. Empty where nothing waits. */
export async function sharedFiles(): Promise<File[]> {
  if (!('caches' in globalThis)) return [];
  const cache = await caches.open(CACHE);
  const waiting = [...(await cache.keys())].sort((a, b) => (a.url < b.url ? -1 : 1));
  const files: File[] = [];
  for (const request of waiting) {
    const response = await cache.match(request);
    if (response === undefined) continue;
    const name = decodeURIComponent(response.headers.get('x-file-name') ?? 'shared');
    files.push(new File([await response.blob()], name, { type: response.headers.get('content-type') ?? '' }));
  }
  return files;
}

/** After intake has taken them. */
export async function dropSharedFiles(): Promise<void> {
  if ('caches' in globalThis) await caches.delete(CACHE);
}
