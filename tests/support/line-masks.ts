/** Masks for tests of the measuring room: a small seeded generator, and pictures written as text. */

/** Mulberry32 (Tommy Ettinger, public domain): numbers in [0, 1) from a 32-bit seed. */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Coverage from rows of text: `#` is line, anything else paper. */
export function maskOf(...rows: string[]): { width: number; height: number; coverage: Uint8Array } {
  const width = rows[0]?.length ?? 0;
  const coverage = Uint8Array.from(rows.join(''), (c) => (c === '#' ? 255 : 0));
  return { width, height: rows.length, coverage };
}

/** Line and paper by chance, in blobs of a few pixels so that pieces of every size occur. */
export function randomMask(width: number, height: number, share: number, seed: number): Uint8Array {
  const random = seeded(seed);
  const coverage = new Uint8Array(width * height);
  for (let i = 0; i < coverage.length; i++) {
    const repeat = i > 0 && random() < 0.5;
    const from = random() < 0.5 || i < width ? i - 1 : i - width;
    coverage[i] = repeat ? coverage[from]! : random() < share ? 255 : 0;
  }
  return coverage;
}
