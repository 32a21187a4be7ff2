/**
 * The page's side of the service worker: registers it, notices a new build, and changes to it only when
 * asked: never in the middle of a stroke, and after the outbox and drafts are written down.
 */
import { type ReadonlySignal, signal } from '@preact/signals';
import { Workbox } from 'workbox-window';

export interface Updates {
  /** A new build is here and waits. */
  readonly ready: ReadonlySignal<boolean>;
  readonly offline: ReadonlySignal<OfflineReady>;
  /** Changes to the new build and reloads this tab (others offer it), once `busy()` is false and `flush()` is done. */
  apply(): Promise<void>;
}

/**
 * What of the app works without a network: `no` nothing (the browser keeps no app here), `keeping` it is being kept,
 * `in part` the shelf and the desk are kept and something else is not, `whole`.
 */
export type OfflineReady = 'no' | 'keeping' | 'in part' | 'whole';

export interface UpdateNeeds {
  /** True while the hand works: a stroke is down, an intake runs. */
  readonly busy: () => boolean;
  /** Writes down everything that is not yet kept. A rejection stops the update: it stays offered. */
  readonly flush: () => Promise<void>;
  /** Where `sw.js` lies, relative to the page. */
  readonly workerUrl?: string;
  /** Asked for by a background sync: the outbox is to be sent now. */
  readonly sendOutbox?: () => void;
}

/** A change that was asked for takes a moment. Longer than a tablet takes to stop a worker; short for a person. */
const FIRST_LOOK_MS = 3_000;
/** After this long, and again and again, what did not come about is asked for again. */
const ASK_AGAIN_MS = 10_000;
/** The worker's side is `sw/ahead.ts`: same cache, same address, same mark. */
const AHEAD = 'fairpeg-ahead';
/** How often a waiting change looks whether the hand rests; short against a person's patience. */
const RESTS_MS = 250;

const handRests = (busy: () => boolean): Promise<void> =>
  new Promise((done) => {
    const look = (): void => {
      if (busy()) setTimeout(look, RESTS_MS);
      else done();
    };
    look();
  });

export function watchForUpdates(needs: UpdateNeeds): Updates {
  const ready = signal(false);
  const offline = signal<OfflineReady>('no');
  const none = { ready, offline, apply: () => Promise.resolve() };
  if (import.meta.env.DEV || !('serviceWorker' in navigator)) return none;

  const workerUrl = new URL(needs.workerUrl ?? 'sw.js', document.baseURI);
  const box = new Workbox(workerUrl.href, { updateViaCache: 'none' });
  /** This page is of the build whose worker still waits: the old worker gave it out. */
  let ours: ServiceWorker | null = null;
  const isGivenOut = async (): Promise<boolean> =>
    (await caches.match(new URL('index.html', workerUrl), { cacheName: AHEAD })) !== undefined;
  const hadController = navigator.serviceWorker.controller !== null;
  offline.value = 'keeping';
  const keepRest = (worker: ServiceWorker | null | undefined): void => {
    if (offline.peek() !== 'whole') (ours ?? worker)?.postMessage({ type: 'KEEP_LATER' });
  };
  /** Another tab asked for the change: this page runs the build before it, until it is asked too. */
  let changed = false;

  const whenWritten = async (): Promise<void> => {
    await handRests(needs.busy);
    await needs.flush();
  };
  const reload = async (): Promise<void> => {
    await whenWritten();
    location.reload();
  };
  let asked = false;
  let waits = (): boolean => true;
  box.addEventListener('waiting', ({ sw }) => {
    if (sw !== ours) ready.value = true;
  });
  box.addEventListener('activated', ({ sw }) => {
    // At the first visit the worker does not control this page yet.
    keepRest(sw);
  });
  // Not `box`'s own event: it stays silent when another tab asked for the change.
  navigator.serviceWorker.addEventListener('controllerchange', () => {
    if (ours !== null && ours === navigator.serviceWorker.controller) {
      ours = null;
      return;
    }
    changed ||= hadController;
    // A hand may have begun something since it was asked; what cannot be written then keeps the offer standing.
    if (asked) void reload().catch(() => undefined);
    else if (changed) ready.value = true;
  });
  navigator.serviceWorker.addEventListener(
    'message',
    (event: MessageEvent<{ type?: string; lacking?: number } | undefined>) => {
      if (event.data?.type === 'SEND_OUTBOX') needs.sendOutbox?.();
      if (event.data?.type === 'KEPT_LATER') offline.value = event.data.lacking === 0 ? 'whole' : 'in part';
    },
  );

  const register = async (): Promise<ServiceWorkerRegistration | undefined> => {
    if (document.querySelector('meta[name=ahead]') !== null)
      ours = (await navigator.serviceWorker.getRegistration())?.waiting ?? null;
    return box.register();
  };
  const registered = register();
  const look = (): void => {
    if (document.visibilityState !== 'visible') return;
    // Without a network the look-up fails; the next one will do.
    void registered.then(() => box.update()).catch(() => undefined);
    keepRest(navigator.serviceWorker.controller);
  };
  // At once: registering waits for the page to be loaded, and a turn that came before would go unheard.
  document.addEventListener('visibilitychange', look);
  addEventListener('pageshow', ({ persisted }) => {
    if (persisted) look();
  });
  addEventListener('online', look);
  void registered
    .then((registration) => {
      if (registration) waits = () => registration.waiting !== null;
      if (registration?.waiting != null && registration.waiting !== ours && hadController) ready.value = true;
      if (hadController) keepRest(navigator.serviceWorker.controller);
    })
    // Refused (private window, broken certificate): the app works, only not without a network.
    .catch(() => {
      offline.value = 'no';
    });

  return {
    ready,
    offline,
    async apply() {
      if (!ready.value) return;
      if (changed) return reload();
      await whenWritten();
      if (asked) return;
      asked = true;
      box.messageSkipWaiting();
      // The browser may be long about it, or the asking may be lost on the way; the new page need not wait for either.
      const goOn = async (): Promise<void> => {
        if (waits() && !(await isGivenOut())) box.messageSkipWaiting();
        else await reload().catch(() => undefined);
        setTimeout(() => void goOn(), ASK_AGAIN_MS);
      };
      setTimeout(() => void goOn(), FIRST_LOOK_MS);
    },
  };
}
