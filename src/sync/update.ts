/**
 * The page's side of the service worker: registers it, notices a new build, and changes to it only when
 * asked: never in the middle of a stroke, and after the outbox and drafts are written down.
 */
import { type ReadonlySignal, signal } from '@preact/signals';
import { Workbox } from 'workbox-window';

export interface Updates {
  /** A new build is here and waits. */
  readonly ready: ReadonlySignal<boolean>;
  /** The shell is kept: the app starts without a network from now on. */
  readonly offlineReady: ReadonlySignal<boolean>;
  /** Changes to the new build and reloads this tab (others offer it), once `busy()` is false and `flush()` is done. */
  apply(): Promise<void>;
}

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

/** A change that was asked for takes a moment; after this long it is asked for again. */
const ASK_AGAIN_MS = 10_000;
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
  const offlineReady = signal(false);
  const none = { ready, offlineReady, apply: () => Promise.resolve() };
  if (import.meta.env.DEV || !('serviceWorker' in navigator)) return none;

  const box = new Workbox(needs.workerUrl ?? 'sw.js', { updateViaCache: 'none' });
  const hadController = navigator.serviceWorker.controller !== null;
  offlineReady.value = hadController;
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
  box.addEventListener('waiting', () => {
    ready.value = true;
  });
  box.addEventListener('activated', ({ sw }) => {
    offlineReady.value = true;
    // At the first visit the worker does not control this page yet.
    sw?.postMessage({ type: 'KEEP_LATER' });
  });
  // Not `box`'s own event: it stays silent when another tab asked for the change.
  navigator.serviceWorker.addEventListener('controllerchange', () => {
    changed ||= hadController;
    // A hand may have begun something since it was asked; what cannot be written then keeps the offer standing.
    if (asked) void reload().catch(() => undefined);
    else if (changed) ready.value = true;
  });
  navigator.serviceWorker.addEventListener(
    'message',
    (event: MessageEvent<{ type?: string } | undefined>) => {
      if (event.data?.type === 'SEND_OUTBOX') needs.sendOutbox?.();
    },
  );

  const look = (): void => {
    // Without a network the look-up fails; the next one will do.
    if (document.visibilityState === 'visible') void box.update().catch(() => undefined);
  };
  void box
    .register()
    .then((registration) => {
      if (registration) waits = () => registration.waiting !== null;
      if (registration?.waiting != null && hadController) ready.value = true;
      if (hadController) navigator.serviceWorker.controller?.postMessage({ type: 'KEEP_LATER' });
      document.addEventListener('visibilitychange', look);
      addEventListener('pageshow', look);
      addEventListener('online', look);
    })
    // Refused (private window, broken certificate): the app works, only not without a network.
    .catch(() => undefined);

  return {
    ready,
    offlineReady,
    async apply() {
      if (!ready.value) return;
      if (changed) return reload();
      await whenWritten();
      if (asked) return;
      asked = true;
      box.messageSkipWaiting();
      // A busy tablet may take the change without a word to this page, or the asking may be lost on the way.
      const askAgain = async (): Promise<void> => {
        if (waits()) box.messageSkipWaiting();
        else await reload().catch(() => undefined);
        later();
      };
      const later = (): void => void setTimeout(() => void askAgain(), ASK_AGAIN_MS);
      later();
    },
  };
}
