type Point = readonly [x: number, y: number];

/** Below this share of the chord, how far C lies off it says nothing of an arc. */
const STRAIGHT = 0.02;

/**
 * How far along from A to B the point C lies, 0 at A and 1 at B, by arc length on the circle through the
 * three; on a straight path by projection. The chord alone misreads an arc (a third of a quarter turn reads
 * 0.317). Beyond the ends, or past half a circle, the projection is given. `offChordPx` is C's distance
 * from the chord's line. The three points must not all coincide.
 */
export function arcFraction(
  a: Point,
  c: Point,
  b: Point,
): { fraction: number; offChordPx: number; lengthPx: number } {
  const abx = b[0] - a[0];
  const aby = b[1] - a[1];
  const acx = c[0] - a[0];
  const acy = c[1] - a[1];
  const chordPx = Math.hypot(abx, aby);
  if (chordPx === 0) return { fraction: Number.NaN, offChordPx: Math.hypot(acx, acy), lengthPx: 0 };
  const projection = (acx * abx + acy * aby) / (chordPx * chordPx);
  const offChordPx = Math.abs(abx * acy - aby * acx) / chordPx;
  if (offChordPx < STRAIGHT * chordPx || projection <= 0 || projection >= 1) {
    return { fraction: projection, offChordPx, lengthPx: chordPx };
  }
  const acPx = Math.hypot(acx, acy);
  const cbPx = Math.hypot(b[0] - c[0], b[1] - c[1]);
  // Circumradius R = product of the sides / (4 · area), and area = chord · height / 2.
  const radiusPx = (acPx * cbPx) / (2 * offChordPx);
  const toC = 2 * Math.asin(Math.min(1, acPx / (2 * radiusPx)));
  const fromC = 2 * Math.asin(Math.min(1, cbPx / (2 * radiusPx)));
  if (toC + fromC > Math.PI) return { fraction: projection, offChordPx, lengthPx: chordPx };
  return { fraction: toC / (toC + fromC), offChordPx, lengthPx: radiusPx * (toC + fromC) };
}
