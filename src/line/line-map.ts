import { chamferDistance } from './chamfer.ts';
import type { LineSamples } from './samples.ts';

/** Directions of a line told apart. Eight, each marked with its neighbours, let ±34° pass. */
const DIRECTIONS = 8;

/** For every place and direction: how far to the nearest line that runs that way. */
export interface LineMap {
  readonly left: number;
  readonly top: number;
  readonly cellPx: number;
  readonly columns: number;
  readonly rows: number;
  /** One grid a direction, px. */
  readonly distancePx: readonly Float32Array[];
}

/** Directional distance maps of a drawing's mid-line (after Shotton et al. 2008), on square cells. */
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
  const seeds = Array.from({ length: DIRECTIONS }, () => new Uint8Array(columns * rows));
  for (let i = 0; i < samples.x.length; i++) {
    const cell =
      Math.floor((samples.y[i]! - top) / cellPx) * columns + Math.floor((samples.x[i]! - left) / cellPx);
    const direction = directionOf(samples.tangentRad[i]!);
    for (const k of [-1, 0, 1]) seeds[(direction + k + DIRECTIONS) % DIRECTIONS]![cell] = 1;
  }
  const distancePx = seeds.map((seed) => chamferDistance(seed, columns, rows));
  for (const grid of distancePx) for (let i = 0; i < grid.length; i++) grid[i]! *= cellPx;
  return { left, top, cellPx, columns, rows, distancePx };
}

/** Which direction bin a tangent falls in; opposite tangents are one direction. */
export function directionOf(tangentRad: number): number {
  const turns = tangentRad / Math.PI;
  return Math.floor((turns - Math.floor(turns)) * DIRECTIONS) % DIRECTIONS;
}

/** Distance at a place, px, at most `mostPx` (also off the map). */
export function mapDistance(map: LineMap, direction: number, x: number, y: number, mostPx: number): number {
  const cx = Math.floor((x - map.left) / map.cellPx);
  const cy = Math.floor((y - map.top) / map.cellPx);
  if (cx < 0 || cy < 0 || cx >= map.columns || cy >= map.rows) return mostPx;
  return Math.min(mostPx, map.distancePx[direction]![cy * map.columns + cx]!);
}
