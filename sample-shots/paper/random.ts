/** Seeded randomness: the same seed draws the same line on every machine. */

/** Mulberry32: uniform values in [0, 1). */
export function random(seed: number): () => number {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), a | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A seed from words (FNV-1a). */
export function seedOf(...words: readonly (string | number)[]): number {
  let h = 0x811c9dc5;
  for (const ch of words.join('/')) h = Math.imul(h ^ ch.charCodeAt(0), 0x01000193);
  return h >>> 0;
}

/** A smooth random curve: value in [-1, 1] at `s`, one bend about every `periodPx`. */
export function sway(next: () => number, periodPx: number): (s: number) => number {
  const knots = Array.from({ length: 64 }, () => next() * 2 - 1);
  return (s) => {
    const u = s / periodPx + 1000;
    const i = Math.floor(u);
    const f = u - i;
    const k = f * f * (3 - 2 * f);
    return knots[i % 64]! * (1 - k) + knots[(i + 1) % 64]! * k;
  };
}
