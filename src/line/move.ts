/** An affine move about the paper's origin, px: `x' = xx·x + xy·y + dx`, `y' = yx·x + yy·y + dy`. */
export interface Move {
  readonly xx: number;
  readonly xy: number;
  readonly yx: number;
  readonly yy: number;
  readonly dx: number;
  readonly dy: number;
}

export const STAY: Move = { xx: 1, xy: 0, yx: 0, yy: 1, dx: 0, dy: 0 };

export function movePoint(move: Move, x: number, y: number): [number, number] {
  return [move.xx * x + move.xy * y + move.dx, move.yx * x + move.yy * y + move.dy];
}

/** The turn in a move: that of the rotation nearest to its linear part. */
export function turnOf(move: Move): number {
  return Math.atan2(move.yx - move.xy, move.xx + move.yy);
}

/** `move`, then a linear change about where it put (x, y), then a shift. */
export function alter(
  move: Move,
  x: number,
  y: number,
  linear: { xx: number; xy: number; yx: number; yy: number },
  dx: number,
  dy: number,
): Move {
  const [px, py] = movePoint(move, x, y);
  const xx = linear.xx * move.xx + linear.xy * move.yx;
  const xy = linear.xx * move.xy + linear.xy * move.yy;
  const yx = linear.yx * move.xx + linear.yy * move.yx;
  const yy = linear.yx * move.xy + linear.yy * move.yy;
  return { xx, xy, yx, yy, dx: px + dx - (xx * x + xy * y), dy: py + dy - (yx * x + yy * y) };
}

/** The linear part of a turn. */
export function turn(angleRad: number): { xx: number; xy: number; yx: number; yy: number } {
  const c = Math.cos(angleRad);
  const s = Math.sin(angleRad);
  return { xx: c, xy: -s, yx: s, yy: c };
}
