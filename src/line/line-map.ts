import { type AlongSamples, withAlong } from './along.ts';
import type { LineSamples } from './samples.ts';

/** Directions of a line told apart. Eight, each marked with its neighbours, let ±34° pass. */
const DIRECTIONS = 8;

/** For every place and direction: the nearest line that runs that way. */
export interface LineMap {
  readonly samples: AlongSamples;
  readonly left: number;
  readonly top: number;
  readonly cellPx: number;
  readonly columns: number;
  readonly rows: number;
  /** One grid a direction: distance of the cell's middle to the line's point, px. */
  readonly distancePx: readonly Float32Array[];
  /** The point itself, −1 where no line runs that way. */
  readonly nearest: readonly Int32Array[];
}

/**
 * Directional distance maps of a drawing's mid-line (after Shotton et al. 2008) on square cells, each cell with its
 * nearest point: in two passes a cell takes over what its neighbours found (Danielsson 1980, which may be a fraction
 * of a cell off).
 */
export function lineMap(samples: LineSamples, cellPx: number, marginPx: number): LineMap {
  let [left, top, right, low] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < samples.x.length; i++) {
    left = Math.min(left, samples.x[i]!);
    right = Math.max(right, samples.x[i]!);
    top = Math.min(top, samples.y[i]!);
    low = Math.max(low, samples.y[i]!);
  }
  left -= marginPx;
  top -= marginPx;
  const columns = Math.ceil((right + marginPx - left) / cellPx);
  const rows = Math.ceil((low + marginPx - top) / cellPx);
  const nearest = Array.from({ length: DIRECTIONS }, () => new Int32Array(columns * rows).fill(-1));
  for (let i = 0; i < samples.x.length; i++) {
    const cell =
      Math.floor((samples.y[i]! - top) / cellPx) * columns + Math.floor((samples.x[i]! - left) / cellPx);
    const direction = directionOf(samples.tangentRad[i]!);
    for (const k of [-1, 0, 1]) nearest[(direction + k + DIRECTIONS) % DIRECTIONS]![cell] = i;
  }
  const x = samples.x.map((px) => (px - left) / cellPx);
  const y = samples.y.map((px) => (px - top) / cellPx);
  const distancePx = nearest.map((points) => {
    const distances = spread(points, x, y, columns, rows);
    for (let i = 0; i < distances.length; i++) distances[i] = Math.sqrt(distances[i]!) * cellPx;
    return distances;
  });
  return { samples: withAlong(samples), left, top, cellPx, columns, rows, distancePx, nearest };
}

/** Squared distances in cells; fills `points` for every cell. */
function spread(
  points: Int32Array,
  x: Float32Array,
  y: Float32Array,
  columns: number,
  rows: number,
): Float32Array {
  const best = new Float32Array(points.length).fill(Infinity);
  for (let i = 0; i < points.length; i++) {
    const p = points[i]!;
    if (p < 0) continue;
    const column = i % columns;
    best[i] = (x[p]! - column - 0.5) ** 2 + (y[p]! - (i - column) / columns - 0.5) ** 2;
  }
  const take = (i: number, from: number, middleX: number, middleY: number) => {
    const p = points[from]!;
    if (p < 0 || p === points[i]) return;
    const distSq = (x[p]! - middleX) ** 2 + (y[p]! - middleY) ** 2;
    if (distSq >= best[i]!) return;
    best[i] = distSq;
    points[i] = p;
  };
  for (let r = 0; r < rows; r++) {
    for (let c = 0, i = r * columns; c < columns; c++, i++) {
      const [mx, my] = [c + 0.5, r + 0.5];
      if (r > 0) {
        take(i, i - columns, mx, my);
        if (c > 0) take(i, i - columns - 1, mx, my);
        if (c + 1 < columns) take(i, i - columns + 1, mx, my);
      }
      if (c > 0) take(i, i - 1, mx, my);
    }
    for (let c = columns - 2, i = r * columns + c; c >= 0; c--, i--) take(i, i + 1, c + 0.5, r + 0.5);
  }
  for (let r = rows - 1; r >= 0; r--) {
    for (let c = columns - 1, i = r * columns + c; c >= 0; c--, i--) {
      const [mx, my] = [c + 0.5, r + 0.5];
      if (r + 1 < rows) {
        take(i, i + columns, mx, my);
        if (c > 0) take(i, i + columns - 1, mx, my);
        if (c + 1 < columns) take(i, i + columns + 1, mx, my);
      }
      if (c + 1 < columns) take(i, i + 1, mx, my);
    }
    for (let c = 1, i = r * columns + 1; c < columns; c++, i++) take(i, i - 1, c + 0.5, r + 0.5);
  }
  return best;
}

/** Which direction bin a tangent falls in; opposite tangents are one direction. */
export function directionOf(tangentRad: number): number {
  const turns = tangentRad / Math.PI;
  return Math.floor((turns - Math.floor(turns)) * DIRECTIONS) % DIRECTIONS;
}

const TAN_OF_BIN = Math.tan(Math.PI / DIRECTIONS);

/** The same of a vector along the line, of any length. */
export function directionAlong(x: number, y: number): number {
  const down = y < 0 || (y === 0 && x < 0);
  const v = down ? -y : y;
  const u = down ? -x : x;
  if (u > 0) {
    if (v < u) return v < TAN_OF_BIN * u ? 0 : 1;
    return u > TAN_OF_BIN * v ? 2 : 3;
  }
  if (v > -u) return -u < TAN_OF_BIN * v ? 4 : 5;
  return v > -TAN_OF_BIN * u ? 6 : 7;
}

/** Cell of a place, −1 off the map. */
function cellAt(map: LineMap, x: number, y: number): number {
  const cx = Math.floor((x - map.left) / map.cellPx);
  const cy = Math.floor((y - map.top) / map.cellPx);
  if (cx < 0 || cy < 0 || cx >= map.columns || cy >= map.rows) return -1;
  return cy * map.columns + cx;
}

/** Distance at a place, px, at most `mostPx` (also off the map). */
export function mapDistance(map: LineMap, direction: number, x: number, y: number, mostPx: number): number {
  const cell = cellAt(map, x, y);
  return cell < 0 ? mostPx : Math.min(mostPx, map.distancePx[direction]![cell]!);
}

/** The line's point nearest to a place, −1 where there is none within `withinPx`. */
export function mapNearest(map: LineMap, direction: number, x: number, y: number, withinPx: number): number {
  const cell = cellAt(map, x, y);
  return cell < 0 || map.distancePx[direction]![cell]! > withinPx ? -1 : map.nearest[direction]![cell]!;
}
