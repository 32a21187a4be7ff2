import type { Picture } from './picture.ts';

/** Edge of a tile, px: wider than any line, smaller than a scanner's fall-off. */
const TILE_PX = 64;
/** Fall-off (in levels) below which paper counts as even. */
const EVEN_LEVELS = 6;

/** Light over an unevenly lit scan, relative to the paper's level. */
export interface Shade {
  /** Fills `gain` (one value a pixel of row `y`) with the light there, 1 = the paper's level. */
  row(y: number, gain: Float32Array): void;
}

/**
 * The light over a scan, from the brighter part (75th percentile of the first channel) of each tile, drawn
 * bilinearly between the tiles' middles. A tile covered by a solid black borrows from its neighbours.
 * Returns undefined when the light is even within a few levels.
 */
export function shadeOf(picture: Picture, paperLevel: number): Shade | undefined {
  const { width, height } = picture;
  const columns = Math.max(1, Math.round(width / TILE_PX));
  const rows = Math.max(1, Math.round(height / TILE_PX));
  const tiles = new Float32Array(columns * rows);
  for (let ty = 0; ty < rows; ty++) {
    for (let tx = 0; tx < columns; tx++) {
      tiles[ty * columns + tx] =
        tilePaper(picture, tx / columns, ty / rows, 1 / columns, 1 / rows) / paperLevel;
    }
  }
  borrow(tiles, columns, rows);
  const sorted = tiles.slice().sort();
  const spread = sorted[Math.floor(0.95 * (sorted.length - 1))]! - sorted[Math.floor(0.05 * sorted.length)]!;
  if (spread * paperLevel < EVEN_LEVELS) return undefined;
  return {
    row(y, gain) {
      const [top, bottom, v] = between(y, height, rows);
      for (let x = 0; x < width; x++) {
        const [left, right, u] = between(x, width, columns);
        const upper = tiles[top * columns + left]! * (1 - u) + tiles[top * columns + right]! * u;
        const lower = tiles[bottom * columns + left]! * (1 - u) + tiles[bottom * columns + right]! * u;
        gain[x] = upper * (1 - v) + lower * v;
      }
    },
  };
}

/** The two tiles whose middles lie around pixel `at`, and how far between them it is, 0–1. */
function between(at: number, length: number, tiles: number): [number, number, number] {
  const place = ((at + 0.5) * tiles) / length - 0.5;
  const low = Math.min(tiles - 1, Math.max(0, Math.floor(place)));
  return [low, Math.min(tiles - 1, low + 1), Math.min(1, Math.max(0, place - low))];
}

function tilePaper(
  { width, height, channels, data }: Picture,
  left: number,
  top: number,
  w: number,
  h: number,
): number {
  const counts = new Uint32Array(256);
  let total = 0;
  for (let y = Math.floor(top * height); y < Math.floor((top + h) * height); y += 3) {
    for (let x = Math.floor(left * width); x < Math.floor((left + w) * width); x += 3) {
      const v = data[(y * width + x) * channels]!;
      counts[v] = counts[v]! + 1;
      total++;
    }
  }
  let left75 = 0.25 * total;
  for (let v = 255; v >= 0; v--) {
    left75 -= counts[v]!;
    if (left75 <= 0) return v;
  }
  return 255;
}

/** Gives tiles darker than half the paper (a solid black covers them) the mean of their lit neighbours. */
function borrow(tiles: Float32Array, columns: number, rows: number): void {
  const lit = Uint8Array.from(tiles, (gain) => (gain > 0.5 ? 1 : 0));
  for (let round = 0; round < Math.max(columns, rows) && lit.includes(0); round++) {
    const before = lit.slice();
    for (let i = 0; i < tiles.length; i++) {
      if (before[i] === 1) continue;
      let sum = 0;
      let count = 0;
      for (let dy = -1; dy <= 1; dy++) {
        for (let dx = -1; dx <= 1; dx++) {
          const x = (i % columns) + dx;
          const y = Math.floor(i / columns) + dy;
          if (x < 0 || y < 0 || x >= columns || y >= rows || before[y * columns + x] === 0) continue;
          sum += tiles[y * columns + x]!;
          count++;
        }
      }
      if (count === 0) continue;
      tiles[i] = sum / count;
      lit[i] = 1;
    }
  }
}
