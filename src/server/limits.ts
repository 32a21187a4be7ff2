/** What one client may ask of the server. */
export interface Limits {
  readonly bodyBytes: number;
  readonly entriesPerBatch: number;
  readonly imageBytes: number;
  /** Requests a second one client may keep up, and how many it may make at once. */
  readonly requestsPerSecond: number;
  readonly requestBurst: number;
  /** Requests without an answer yet, at one time. */
  readonly requestsPerPass: number;
  readonly requestsPerAddress: number;
  readonly requestsInAll: number;
  /** Live streams at one time: a tablet has one. */
  readonly streamsPerPass: number;
  readonly streamsPerAddress: number;
  readonly streamsInAll: number;
  /** Connections at one time: a browser opens six to a server. Of an address only where no proxy stands before it. */
  readonly connectionsPerAddress: number;
  readonly connectionsInAll: number;
  /** Room for pictures, unfinished ones too. */
  readonly pictureBytes: number;
  /** What uploads leave free on the disk, for notes. */
  readonly freeBytes: number;
  /** How long nothing may come of a body, or be read of an answer. */
  readonly silentMs: number;
  /** Wrong codes in ten minutes: from one address, and from all until each address has one guess. */
  readonly guessesPerAddress: number;
  readonly guessesInAll: number;
}

/**
 * A site's tablets may come from one address: two hundred of them have 200 streams and some 600 connections. A first
 * download of a hundred drawings is a burst of some 300 requests. A scan of 8K × 5K in 16-bit colour
 * is 240 MB uncompressed. Codes have 50 bits: a million addresses with one guess each in ten minutes, for the
 * week that a code lives, find one of a hundred open codes once in ten thousand weeks.
 */
export const usualLimits: Limits = {
  bodyBytes: 8e6,
  entriesPerBatch: 500,
  imageBytes: 256e6,
  requestsPerSecond: 100,
  requestBurst: 2000,
  requestsPerPass: 64,
  requestsPerAddress: 256,
  requestsInAll: 1000,
  streamsPerPass: 4,
  streamsPerAddress: 512,
  streamsInAll: 1000,
  connectionsPerAddress: 2000,
  connectionsInAll: 4000,
  pictureBytes: 500e9,
  freeBytes: 1e9,
  silentMs: 30_000,
  guessesPerAddress: 10,
  guessesInAll: 100,
};

export interface Bucket {
  /** False when the key has used up what it may. */
  take(key: string, nowMs: number): boolean;
  /** The same answer, and nothing is used up. */
  has(key: string, nowMs: number): boolean;
  /** What is left of the key is so much, from now on; below zero is a debt. */
  set(key: string, tokens: number, nowMs: number): void;
}

/** A token bucket a key (a standard way to limit rates): `burst` at once, `perSecond` refilled. */
export function bucket(burst: number, perSecond: number): Bucket {
  const left = new Map<string, { tokens: number; atMs: number }>();
  const tokensOf = (key: string, nowMs: number): number => {
    const known = left.get(key) ?? { tokens: burst, atMs: nowMs };
    // A clock that is set back takes nothing away.
    return Math.min(burst, known.tokens + (Math.max(0, nowMs - known.atMs) / 1000) * perSecond);
  };
  return {
    has: (key, nowMs) => tokensOf(key, nowMs) >= 1,
    set: (key, tokens, nowMs) => void left.set(key, { tokens, atMs: nowMs }),
    take(key, nowMs) {
      const tokens = tokensOf(key, nowMs);
      // Full ones are forgotten, so that many passing addresses do not fill the memory.
      if (left.size > 10_000)
        for (const [old, { atMs }] of left) if (nowMs - atMs > 600_000) left.delete(old);
      left.set(key, { tokens: tokens >= 1 ? tokens - 1 : tokens, atMs: nowMs });
      return tokens >= 1;
    },
  };
}
