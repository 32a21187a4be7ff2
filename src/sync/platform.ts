/** What sync needs of the world around it; tests give one they drive by hand. */
export interface Platform {
  readonly random: () => number;
  /** Calls once after `ms`; returns what calls it off. */
  after(ms: number, call: () => void): () => void;
  readonly visible: () => boolean;
  /** `wake`: there may be a network again, or the app came to the front. `hide`: it went to the back. */
  onTurn(turn: (to: 'wake' | 'hide') => void): () => void;
  /** Asks the browser to wake the outbox when there is a network, where it can (Background Sync: Chrome). */
  sendLater(): void;
  /** Lower-case hex. */
  sha256(bytes: ArrayBuffer): Promise<string>;
}

/** What not every browser's registration has. */
type Syncing = { readonly sync?: { register(tag: string): Promise<void> } } | undefined;

/** A page's. */
export function pagePlatform(): Platform {
  return {
    random: Math.random,
    after(ms, call) {
      const timer = setTimeout(call, ms);
      return () => clearTimeout(timer);
    },
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
