import { ecc, type Rigid } from './ecc.ts';
import { phaseShift } from './phase-correlation.ts';
import { type Grid, type InkMap, reduce, scaleFor } from './reduce.ts';
import type { Refused } from './refused.ts';

/** How one drawing must move to lie on another: turn about the paper's centre, then shift, image px. */
export interface Registration {
  readonly dxPx: number;
  readonly dyPx: number;
  readonly angleRad: number;
  /** Correlation of the two inks once moved, 0..1. */
  readonly agreement: number;
  readonly agreementUnmoved: number;
  /** Whether moving does clearly better than not: a redrawn half pulls too, but agrees no better for it. */
  readonly believed: boolean;
}

/** Phase correlation looks at this many cells along the long edge: lines merge, the drawing remains. */
const COARSE_CELLS = 200;
/** The last refinement's long edge; at 4K a cell is 6 px and settles to a tenth of that. */
const FINE_CELLS = 680;
/** This much agreement with next to no move leaves nothing to search for. */
const AT_HOME = 0.5;
/** A move must lift the agreement by this much to be believed. */
const BELIEVED = 0.12;

/**
 * Moves `moving` onto `fixed`: the better of no move and the phase-correlation shift (Guizar-Sicairos et
 * al. 2008) is refined by ECC (Evangelidis & Psarakis 2008) on two scales. Refuses when either is blank.
 */
export function registerInk(
  moving: InkMap,
  fixed: InkMap,
  options: { turns?: boolean } = {},
): Registration | Refused {
  const coarseScale = scaleFor(
    Math.max(moving.width, fixed.width),
    Math.max(moving.height, fixed.height),
    COARSE_CELLS,
  );
  const fineScale = scaleFor(
    Math.max(moving.width, fixed.width),
    Math.max(moving.height, fixed.height),
    FINE_CELLS,
  );
  const fineMoving = reduce(moving, fineScale);
  const fineFixed = onSize(reduce(fixed, fineScale), fineMoving);
  if (!fineMoving.a.some((v) => v > 0.02) || !fineFixed.a.some((v) => v > 0.02)) {
    return { refused: 'one of the two drawings is blank' };
  }
  const still: Rigid = { dx: 0, dy: 0, angleRad: 0 };
  const midMoving = halve(fineMoving);
  const midFixed = halve(fineFixed);
  const { turns } = options;
  const agreementUnmoved = Math.max(0, ecc(fineMoving, fineFixed, still, { iterations: 0 }).rho);
  let best = ecc(midMoving, midFixed, still, { turns });
  if (best.rho < AT_HOME || Math.hypot(best.dx, best.dy) > 2) {
    const { dx, dy } = phaseShift(reduce(moving, coarseScale), reduce(fixed, coarseScale));
    const toMid = coarseScale / fineScale / 2;
    const other = ecc(midMoving, midFixed, { dx: dx * toMid, dy: dy * toMid, angleRad: 0 }, { turns });
    if (other.rho > best.rho) best = other;
  }
  const start = { dx: best.dx * 2, dy: best.dy * 2, angleRad: best.angleRad };
  const fine = ecc(fineMoving, fineFixed, start, { iterations: 6, turns });
  const agreement = Math.max(0, fine.rho);
  return {
    dxPx: fine.dx * fineScale,
    dyPx: fine.dy * fineScale,
    angleRad: fine.angleRad,
    agreement,
    agreementUnmoved,
    believed: agreement - agreementUnmoved >= BELIEVED,
  };
}

/** A point of the moved drawing, in px of the other. */
export function applyMove(
  move: { dxPx: number; dyPx: number; angleRad: number },
  size: { width: number; height: number },
  x: number,
  y: number,
): [number, number] {
  const rx = x - size.width / 2;
  const ry = y - size.height / 2;
  const c = Math.cos(move.angleRad);
  const s = Math.sin(move.angleRad);
  return [size.width / 2 + c * rx - s * ry + move.dxPx, size.height / 2 + s * rx + c * ry + move.dyPx];
}

function onSize(grid: Grid, like: Grid): Grid {
  if (grid.width === like.width && grid.height === like.height) return grid;
  const a = new Float32Array(like.width * like.height);
  for (let y = 0; y < Math.min(grid.height, like.height); y++) {
    for (let x = 0; x < Math.min(grid.width, like.width); x++)
      a[y * like.width + x] = grid.a[y * grid.width + x]!;
  }
  return { ...like, a };
}

function halve(grid: Grid): Grid {
  const width = grid.width >> 1;
  const height = grid.height >> 1;
  const a = new Float32Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = 2 * y * grid.width + 2 * x;
      a[y * width + x] =
        (grid.a[i]! + grid.a[i + 1]! + grid.a[i + grid.width]! + grid.a[i + grid.width + 1]!) / 4;
    }
  }
  return { width, height, a, scale: grid.scale * 2 };
}
