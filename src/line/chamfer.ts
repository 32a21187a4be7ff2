const SIDE = 0.95;
const CORNER = 1.34;

/**
 * Distance of each cell to the nearest seed, in cells, by two sweeps (Borgefors 1986, weights 0.95 and
 * 1.34): within 6 %, which is enough to steer a search. Without seeds every cell is width + height away.
 */
export function chamferDistance(seeds: Uint8Array, width: number, height: number): Float32Array {
  const far = width + height;
  // A frame of one far cell all round, so that the sweeps need not ask where the grid ends.
  const w = width + 2;
  const d = new Float32Array(w * (height + 2)).fill(far);
  for (let y = 0; y < height; y++) {
    for (let x = 0, i = y * width, o = (y + 1) * w + 1; x < width; x++) if (seeds[i + x]) d[o + x] = 0;
  }
  for (let y = 1; y <= height; y++) {
    let before = far;
    for (let i = y * w + 1, end = i + width; i < end; i++) {
      let best = d[i]!;
      if (best > 0) {
        if (before + SIDE < best) best = before + SIDE;
        if (d[i - w]! + SIDE < best) best = d[i - w]! + SIDE;
        if (d[i - w - 1]! + CORNER < best) best = d[i - w - 1]! + CORNER;
        if (d[i - w + 1]! + CORNER < best) best = d[i - w + 1]! + CORNER;
        d[i] = best;
      }
      before = best;
    }
  }
  const out = new Float32Array(width * height);
  for (let y = height; y >= 1; y--) {
    let before = far;
    const row = (y - 1) * width - y * w - 1;
    for (let i = y * w + width, end = y * w; i > end; i--) {
      let best = d[i]!;
      if (best > 0) {
        if (before + SIDE < best) best = before + SIDE;
        if (d[i + w]! + SIDE < best) best = d[i + w]! + SIDE;
        if (d[i + w - 1]! + CORNER < best) best = d[i + w - 1]! + CORNER;
        if (d[i + w + 1]! + CORNER < best) best = d[i + w + 1]! + CORNER;
        d[i] = best;
      }
      before = best;
      out[row + i] = best;
    }
  }
  return out;
}
