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

/** Of a page, and of its service worker. */
export const chanceAndTime: Pick<Platform, 'random' | 'after'> = {
  random: Math.random,
  after(ms, call) {
    const timer = setTimeout(call, ms);
    return () => clearTimeout(timer);
  },
};
