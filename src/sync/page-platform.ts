/** The world around sync in a page. */
import { chanceAndTime, type Platform } from './platform.ts';

/** What not every browser's registration has. */
type Syncing = { readonly sync?: { register(tag: string): Promise<void> } } | undefined;

export function pagePlatform(): Platform {
  return {
    ...chanceAndTime,
    visible: () => document.visibilityState === 'visible',
    onTurn(turn) {
      const stop = new AbortController();
      const { signal } = stop;
      const look = (): void => turn(document.visibilityState === 'visible' ? 'wake' : 'hide');
      document.addEventListener('visibilitychange', look, { signal });
      // From the back-forward cache, where visibility may not change.
      addEventListener('pageshow', look, { signal });
      addEventListener('online', look, { signal });
      return () => stop.abort();
    },
    sendLater() {
      // A bonus: whoever has none sends at the next start or turn.
      void navigator.serviceWorker?.getRegistration().then(
        (registration) => (registration as Syncing)?.sync?.register('fairpeg-outbox'),
        () => undefined,
      );
    },
    async sha256(bytes) {
      const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
      return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
    },
  };
}
