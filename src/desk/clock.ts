/** The desk's one source of time and of ids, so that tests hold both in their hand. */
export interface Clock {
  /** Milliseconds that only go forward. */
  nowMs(): number;
  /** Milliseconds since 1970, as the tablet believes them. */
  wallMs(): number;
  readonly newId: () => string;
  /** Calls back before the next picture is drawn; returns what takes it back. */
  onFrame(callback: () => void): () => void;
  after(delayMs: number, callback: () => void): () => void;
}

export const tabletClock: Clock = {
  nowMs: () => performance.now(),
  wallMs: () => Date.now(),
  newId: () => crypto.randomUUID(),
  onFrame(callback) {
    const handle = requestAnimationFrame(callback);
    return () => cancelAnimationFrame(handle);
  },
  after(delayMs, callback) {
    const handle = setTimeout(callback, delayMs);
    return () => clearTimeout(handle);
  },
};
