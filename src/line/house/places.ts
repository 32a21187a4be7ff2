/** Pixels gathered to places: what lies close together is one. */
import type { Box } from '../picture.ts';

export interface FaultPlace {
  readonly box: Box;
  readonly countPx: number;
}

/** Pixels in cells of this edge that touch are one place, px. */
const CELL_PX = 24;

/** The places of the pixels that `isFault` says, the largest first. */
export function placesOf(width: number, height: number, isFault: (index: number) => boolean): FaultPlace[] {
  const columns = Math.ceil(width / CELL_PX);
  const cells = new Map<number, [left: number, top: number, right: number, bottom: number, count: number]>();
  for (let y = 0, i = 0; y < height; y++)
    for (let x = 0; x < width; x++, i++) {
      if (!isFault(i)) continue;
      const at = Math.floor(y / CELL_PX) * columns + Math.floor(x / CELL_PX);
      const cell = cells.get(at);
      if (!cell) cells.set(at, [x, y, x + 1, y + 1, 1]);
      else {
        cell[0] = Math.min(cell[0], x);
        cell[2] = Math.max(cell[2], x + 1);
        cell[3] = y + 1;
        cell[4]++;
      }
    }
  const places: FaultPlace[] = [];
  for (const start of cells.keys()) {
    const first = cells.get(start);
    if (!first) continue;
    cells.delete(start);
    const sum = first;
    const open = [start];
    for (let at = open.pop(); at !== undefined; at = open.pop()) {
      const column = at % columns;
      for (let dy = -1; dy <= 1; dy++)
        for (let dx = -1; dx <= 1; dx++) {
          const next = at + dy * columns + dx;
          const cell = cells.get(next);
          if (!cell || column + dx < 0 || column + dx >= columns) continue;
          cells.delete(next);
          open.push(next);
          sum[0] = Math.min(sum[0], cell[0]);
          sum[1] = Math.min(sum[1], cell[1]);
          sum[2] = Math.max(sum[2], cell[2]);
          sum[3] = Math.max(sum[3], cell[3]);
          sum[4] += cell[4];
        }
    }
    const [left, top, right, bottom, countPx] = sum;
    places.push({ box: [left, top, right - left, bottom - top], countPx });
  }
  return places.sort((a, b) => b.countPx - a.countPx);
}
