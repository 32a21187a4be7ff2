/// <reference lib="webworker" />
/**
 * The service worker: keeps the shell so that the app starts with no network, waits with an update until
 * it is asked for, takes files shared from another Android app, sends the outbox in the background.
 * Drawings are kept by the shelf, not here.
 */
import { clientsClaim } from 'workbox-core';
import { cleanupOutdatedCaches, matchPrecache, precacheAndRoute } from 'workbox-precaching';
import { NavigationRoute, registerRoute } from 'workbox-routing';
import { aheadShell, dropAhead, layAhead } from './ahead.ts';
import { beforeResponse, isAsset, keepBefore } from './before.ts';
import { dropOldLater, keepLater, laterResponse } from './later.ts';
import { sendOutboxInBackground } from './outbox.ts';
import { stashShared } from './shared.ts';

declare const self: ServiceWorkerGlobalScope;
/** Both lists are put in by the build. */
declare const __PRECACHED__: { url: string; revision: string | null }[];
declare const __LATER__: string[];

const scope = new URL(self.registration.scope);
const shellUrl = new URL('index.html', scope);
const laterUrls = __LATER__.map((file) => new URL(file, scope).href);

// Before the new release's own files come in.
self.addEventListener('install', (event) =>
  event.waitUntil(keepBefore(__PRECACHED__.map(({ url }) => new URL(url, scope).href))),
);
// A change that was asked for counts at once, even where this worker is long in going.
const shell = async (): Promise<Response | undefined> =>
  (await aheadShell(shellUrl)) ?? (await matchPrecache('index.html'));
registerRoute(
  ({ request, url }) =>
    request.mode === 'navigate' && [scope.pathname, shellUrl.pathname].includes(url.pathname),
  async ({ request }) => (await shell()) ?? fetch(request),
);
precacheAndRoute(__PRECACHED__, { directoryIndex: 'index.html', ignoreURLParametersMatching: [/.*/] });
cleanupOutdatedCaches();
clientsClaim();

registerRoute(
  ({ url }) => laterUrls.includes(url.href),
  ({ request }) => laterResponse(request),
);

// What is in neither list belongs to the release before, to one that waits, or to none.
registerRoute(
  ({ url, sameOrigin }) => sameOrigin && isAsset(url.href),
  ({ request }) => beforeResponse(request),
);

// Other addresses may be pages of the studio server (joining, trusting it): the network first, and the shell
// only where there is none.
registerRoute(
  new NavigationRoute(async ({ request }) => {
    try {
      return await fetch(request);
    } catch {
      return (await shell()) ?? Response.error();
    }
  }),
);

registerRoute(
  ({ url }) => url.pathname === `${scope.pathname}share`,
  ({ request }) => stashShared(request, scope),
  'POST',
);

self.addEventListener('activate', (event) =>
  event.waitUntil(Promise.all([dropOldLater(laterUrls), dropAhead()])),
);

self.addEventListener('message', (event: ExtendableMessageEvent) => {
  const { type } = (event.data ?? {}) as { type?: string };
  if (type === 'SKIP_WAITING') {
    const step = async (): Promise<void> => {
      // No room for it: the change comes all the same, when the browser brings it.
      await layAhead(shellUrl, await matchPrecache('index.html')).catch(() => undefined);
      await self.skipWaiting();
    };
    event.waitUntil(step());
  }
  if (type === 'KEEP_LATER') {
    const answer = async (): Promise<void> => {
      const lacking = await keepLater(laterUrls).catch(() => laterUrls.length);
      event.source?.postMessage({ type: 'KEPT_LATER', lacking });
    };
    event.waitUntil(answer());
  }
});

// Chrome only; elsewhere the page sends when it starts, comes back or is online again.
self.addEventListener('sync', (event) => {
  const sync = event as ExtendableEvent & { readonly tag: string };
  if (sync.tag === 'fairpeg-outbox') sync.waitUntil(sendOutboxInBackground());
});
