/** A rigid move: `p ↦ R(angleRad)·p + (dx, dy)`, about the paper's origin, px. */
export interface Move {
  readonly angleRad: number;
  readonly dx: number;
  readonly dy: number;
}

export const STAY: Move = { angleRad: 0, dx: 0, dy: 0 };

export function movePoint(move: Move, x: number, y: number): [number, number] {
  const c = Math.cos(move.angleRad);
  const s = Math.sin(move.angleRad);
  return [c * x - s * y + move.dx, s * x + c * y + move.dy];
}

/** `move`, then a further turn about where it put (x, y), then a shift. */
export function alter(move: Move, x: number, y: number, turnRad: number, dx: number, dy: number): Move {
  const [px, py] = movePoint(move, x, y);
  const angleRad = move.angleRad + turnRad;
  const c = Math.cos(angleRad);
  const s = Math.sin(angleRad);
  return { angleRad, dx: px + dx - (c * x - s * y), dy: py + dy - (s * x + c * y) };
}
