/**
 * Distance of each cell to the nearest seed, in cells, by two sweeps (Borgefors 1986, weights 0.95 and
 * 1.34): within 6 %, which is enough to steer a search. Without seeds every cell is width + height away.
 */
export function chamferDistance(seeds: Uint8Array, width: number, height: number): Float32Array {
  const far = width + height;
  const d = Float32Array.from(seeds, (seed) => (seed ? 0 : far));
  const sweep = (start: number, end: number, step: 1 | -1) => {
    for (let i = start; i !== end; i += step) {
      const x = i % width;
      const behind = i - step * width;
      const hasRow = behind >= 0 && behind < d.length;
      const before = step === 1 ? x > 0 : x < width - 1;
      const after = step === 1 ? x < width - 1 : x > 0;
      let best = d[i]!;
      if (before) {
        best = Math.min(best, d[i - step]! + 0.95);
        if (hasRow) best = Math.min(best, d[behind - step]! + 1.34);
      }
      if (hasRow) {
        best = Math.min(best, d[behind]! + 0.95);
        if (after) best = Math.min(best, d[behind + step]! + 1.34);
      }
      d[i] = best;
    }
  };
  sweep(0, d.length, 1);
  sweep(d.length - 1, -1, -1);
  return d;
}
