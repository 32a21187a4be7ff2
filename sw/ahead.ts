/**
 * A change to the waiting build that was asked for. The browser may be long about putting the new worker in the old
 * one's place: Chromium does it once the old one has stopped, and whatever a tab asks of it meanwhile puts that off by
 * 30 s, a request that never ends by 5 minutes. So the new worker lays its shell here, and the old one gives it out.
 */

/** The page's side is `src/sync/update.ts`: same cache, same address, same mark. */
const CACHE = 'fairpeg-ahead';
const MARK = '<meta name="ahead">';

/** By the waiting worker, before it asks for its turn. */
export async function layAhead(address: URL, shell: Response | undefined): Promise<void> {
  if (shell === undefined) return;
  const marked = (await shell.text()).replace(/<head[^>]*>/i, (head) => head + MARK);
  await (await caches.open(CACHE)).put(address, new Response(marked, { headers: shell.headers }));
}

export const aheadShell = (address: URL): Promise<Response | undefined> =>
  caches.match(address, { cacheName: CACHE });

/** By the new worker in its turn: from now on its own shell is the one. */
export const dropAhead = (): Promise<boolean> => caches.delete(CACHE);
