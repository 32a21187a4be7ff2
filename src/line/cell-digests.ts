import type { Box } from './picture.ts';
import type { Runs } from './runs.ts';

/** What the line looks like, cell by cell: equal pixels of line in a cell give an equal value. */
export interface CellDigests {
  readonly cellPx: number;
  readonly columns: number;
  /** One value a cell, rows from the top; 0 where there is no line. */
  readonly values: Uint32Array;
}

/** Small enough that a line redrawn elsewhere does not touch a fault's own cells, px. */
const CELL_PX = 32;

/**
 * Digests each cell's pixels of line (FNV-1a over its runs). Coverage is left out: black and white points are of
 * the whole drawing, so a change elsewhere would change greys everywhere.
 */
export function cellDigests({ width, height, rowStart, start, end }: Runs): CellDigests {
  const columns = Math.ceil(width / CELL_PX);
  const values = new Uint32Array(columns * Math.ceil(height / CELL_PX));
  for (let y = 0; y < height; y++) {
    const row = Math.floor(y / CELL_PX) * columns;
    for (let k = rowStart[y]!; k < rowStart[y + 1]!; k++) {
      for (let left = start[k]!; left < end[k]!; ) {
        const column = Math.floor(left / CELL_PX);
        const right = Math.min(end[k]!, (column + 1) * CELL_PX);
        let hash = values[row + column]! || 0x811c9dc5;
        for (const value of [y % CELL_PX, left % CELL_PX, right - left])
          hash = Math.imul(hash ^ value, 0x01000193);
        values[row + column] = hash;
        left = right;
      }
    }
  }
  return { cellPx: CELL_PX, columns, values };
}

/** Digest of the cells that a box touches, eight hex digits. The box may reach over the edge of the drawing. */
export function digestWithin({ cellPx, columns, values }: CellDigests, [x, y, width, height]: Box): string {
  const rows = values.length / columns;
  let hash = 0x811c9dc5;
  for (
    let row = Math.max(0, Math.floor(y / cellPx));
    row < Math.min(rows, Math.ceil((y + height) / cellPx));
    row++
  ) {
    for (
      let column = Math.max(0, Math.floor(x / cellPx));
      column < Math.min(columns, Math.ceil((x + width) / cellPx));
      column++
    )
      hash = Math.imul(hash ^ values[row * columns + column]!, 0x01000193);
  }
  return (hash >>> 0).toString(16).padStart(8, '0');
}
