/** PNG filters (W3C PNG 3rd edition, 9.2), undone in place. */
import { damaged } from './limits.ts';

/**
 * Undoes the filters of `height` rows of `rowBytes` bytes, each behind its filter byte, from `offset` on.
 * `step` is the distance to the pixel on the left, in bytes.
 */
export function unfilter(
  raw: Uint8Array,
  offset: number,
  height: number,
  rowBytes: number,
  step: number,
): void {
  for (let y = 0; y < height; y++) {
    const row = offset + y * (rowBytes + 1) + 1;
    const filter = raw[row - 1];
    const up = y > 0 ? row - rowBytes - 1 : -1;
    if (filter === 0) continue;
    if (filter === 1) addLeft(raw, row, rowBytes, step);
    else if (filter === 2) addUp(raw, row, rowBytes, up);
    else if (filter === 3) addAverage(raw, row, rowBytes, step, up);
    else if (filter === 4) addPaeth(raw, row, rowBytes, step, up);
    else throw damaged();
  }
}

function addLeft(raw: Uint8Array, row: number, length: number, step: number): void {
  for (let i = row + step; i < row + length; i++) raw[i] = raw[i]! + raw[i - step]!;
}

function addUp(raw: Uint8Array, row: number, length: number, up: number): void {
  if (up >= 0) for (let i = 0; i < length; i++) raw[row + i] = raw[row + i]! + raw[up + i]!;
}

function addAverage(raw: Uint8Array, row: number, length: number, step: number, up: number): void {
  for (let i = 0; i < length; i++) {
    const left = i >= step ? raw[row + i - step]! : 0;
    const above = up >= 0 ? raw[up + i]! : 0;
    raw[row + i] = raw[row + i]! + ((left + above) >> 1);
  }
}

function addPaeth(raw: Uint8Array, row: number, length: number, step: number, up: number): void {
  if (up < 0) return addLeft(raw, row, length, step);
  for (let i = 0; i < Math.min(step, length); i++) raw[row + i] = raw[row + i]! + raw[up + i]!;
  for (let i = step; i < length; i++) {
    const left = raw[row + i - step]!;
    const above = raw[up + i]!;
    const corner = raw[up + i - step]!;
    const guess = left + above - corner;
    const toLeft = Math.abs(guess - left);
    const toAbove = Math.abs(guess - above);
    const toCorner = Math.abs(guess - corner);
    const nearest = toLeft <= toAbove && toLeft <= toCorner ? left : toAbove <= toCorner ? above : corner;
    raw[row + i] = raw[row + i]! + nearest;
  }
}
