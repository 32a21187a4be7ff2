import type { AlongSamples } from './along.ts';
import { directionAlong, type LineMap } from './line-map.ts';
import { alter, type Move, movePoint, turn } from './move.ts';

/** How far round a start is looked, as shares of the drawing's diagonal. */
export interface Search {
  readonly reach: number;
  readonly step: number;
  readonly turnRad: number;
  readonly turnStepRad: number;
}

/** What a move to the edge of its search costs, against a point wholly off the line at 1. Keeps twins apart. */
const RESTRAINT = 0.06;

/**
 * The rigid move near a start that best lays some points on a line: a coarse raster of turns and shifts, then twice
 * the same at half the step round the best. Points are turned once a turn, in cells of the map; a raster point is given
 * up as soon as it is worse than the best, and the small moves are tried first, since they are the likelier ones.
 */
export function searchMove(
  from: AlongSamples,
  { x: aboutX, y: aboutY, probes }: { readonly x: number; readonly y: number; readonly probes: Uint32Array },
  map: LineMap,
  start: Move,
  search: Search,
  diagonalPx: number,
): Move {
  const n = probes.length;
  const probeX = new Float64Array(n);
  const probeY = new Float64Array(n);
  const grids: Float32Array[] = [];
  let stepPx = search.step * diagonalPx;
  let turnStep = search.turnStepRad;
  let shiftSpan = Math.round((search.reach * diagonalPx) / stepPx);
  let turnSpan = Math.round(search.turnRad / turnStep);
  let centre = start;
  for (let pass = 0; pass < 3; pass++) {
    const mostPx = Math.max(0.015 * diagonalPx, 1.5 * stepPx);
    const shifts = outward(shiftSpan);
    let found = { move: centre, cost: Infinity };
    for (const r of outward(turnSpan)) {
      const turned = alter(centre, aboutX, aboutY, turn(r * turnStep), 0, 0);
      for (let k = 0; k < n; k++) {
        const i = probes[k]!;
        const [x, y] = movePoint(turned, from.x[i]!, from.y[i]!);
        probeX[k] = (x - map.left) / map.cellPx;
        probeY[k] = (y - map.top) / map.cellPx;
        const [ux, uy] = [from.alongX[i]!, from.alongY[i]!];
        const direction = directionAlong(turned.xx * ux + turned.xy * uy, turned.yx * ux + turned.yy * uy);
        grids[k] = map.distancePx[direction]!;
      }
      for (const v of shifts) {
        const shiftY = (v * stepPx) / map.cellPx;
        for (const u of shifts) {
          const shiftX = (u * stepPx) / map.cellPx;
          const strain =
            pass === 0 ? Math.hypot(u, v) / shiftSpan + Math.abs(r * turnStep) / search.turnRad : 0;
          const giveUp = (found.cost - RESTRAINT * strain) * n * mostPx;
          let sum = 0;
          for (let k = 0; k < n && sum < giveUp; k++) {
            const cx = Math.floor(probeX[k]! + shiftX);
            const cy = Math.floor(probeY[k]! + shiftY);
            const inside = cx >= 0 && cy >= 0 && cx < map.columns && cy < map.rows;
            sum += inside ? Math.min(mostPx, grids[k]![cy * map.columns + cx]!) : mostPx;
          }
          if (sum >= giveUp) continue;
          found = {
            move: { ...turned, dx: turned.dx + u * stepPx, dy: turned.dy + v * stepPx },
            cost: sum / (n * mostPx) + RESTRAINT * strain,
          };
        }
      }
    }
    centre = found.move;
    stepPx /= 2;
    turnStep /= 2;
    shiftSpan = 2;
    turnSpan = 2;
  }
  return centre;
}

/** 0, 1, −1, 2, −2 … `most`, −`most`. */
function outward(most: number): number[] {
  return Array.from({ length: 2 * most + 1 }, (_, k) => (k % 2 === 1 ? (k + 1) / 2 : -k / 2));
}
