/** Points, curves and outlines. Lengths in px, angles in degrees, y runs down, angle 0 points right. */

export type Pt = readonly [x: number, y: number];
/** A control point of a curve; a third value of 1 makes it a corner. */
export type Knot = readonly [x: number, y: number, corner?: number];

export const RAD = Math.PI / 180;
/** Distance between the samples of every finished path, px. */
export const STEP_PX = 2.5;

export const lerp = (a: number, b: number, t: number): number => a + (b - a) * t;
export const clamp = (v: number, lo: number, hi: number): number => Math.min(hi, Math.max(lo, v));
export const dist = (a: Pt, b: Pt): number => Math.hypot(a[0] - b[0], a[1] - b[1]);
export const mix = (a: Pt, b: Pt, t: number): Pt => [lerp(a[0], b[0], t), lerp(a[1], b[1], t)];
export const polar = (from: Pt, angleDeg: number, length: number): Pt => [
  from[0] + Math.cos(angleDeg * RAD) * length,
  from[1] + Math.sin(angleDeg * RAD) * length,
];

/** Moves local knots to `origin`, turned by `angleDeg`, scaled by `scaleX` and `scaleY` before turning. */
export function place<P extends Pt | Knot>(
  knots: readonly P[],
  origin: Pt,
  angleDeg: number,
  scaleX = 1,
  scaleY = scaleX,
): P[] {
  const c = Math.cos(angleDeg * RAD);
  const s = Math.sin(angleDeg * RAD);
  return knots.map(
    ([x, y, corner]) =>
      [
        origin[0] + x * scaleX * c - y * scaleY * s,
        origin[1] + x * scaleX * s + y * scaleY * c,
        corner ?? 0,
      ] as unknown as P,
  );
}

/** Samples at equal distances of about `stepPx`; the ends are kept. A closed path does not repeat its start. */
export function resample(path: readonly Pt[], closed: boolean, stepPx = STEP_PX): Pt[] {
  const points = closed && path.length > 0 ? [...path, path[0]!] : path;
  const along = [0];
  for (let i = 1; i < points.length; i++) along.push(along[i - 1]! + dist(points[i - 1]!, points[i]!));
  const length = along.at(-1) ?? 0;
  const count = Math.max(1, Math.round(length / stepPx));
  const out: Pt[] = [];
  let i = 1;
  for (let k = 0; k <= count - (closed ? 1 : 0); k++) {
    const s = (length * k) / count;
    while (i < points.length - 1 && along[i]! < s) i++;
    const span = along[i]! - along[i - 1]! || 1;
    out.push(mix(points[i - 1]!, points[i]!, (s - along[i - 1]!) / span));
  }
  return out;
}

/** One span of a centripetal Catmull-Rom curve (Yuksel et al. 2011), which never loops or overshoots. */
function span(p0: Pt, p1: Pt, p2: Pt, p3: Pt, out: Pt[]): void {
  const t1 = Math.sqrt(dist(p0, p1)) || 1e-6;
  const t2 = t1 + (Math.sqrt(dist(p1, p2)) || 1e-6);
  const t3 = t2 + (Math.sqrt(dist(p2, p3)) || 1e-6);
  const count = Math.max(2, Math.ceil(dist(p1, p2) / 2));
  const at = (a: Pt, b: Pt, ta: number, tb: number, t: number) => mix(a, b, (t - ta) / (tb - ta));
  for (let k = 0; k < count; k++) {
    const t = lerp(t1, t2, k / count);
    const a1 = at(p0, p1, 0, t1, t);
    const a2 = at(p1, p2, t1, t2, t);
    const a3 = at(p2, p3, t2, t3, t);
    out.push(at(at(a1, a2, 0, t2, t), at(a2, a3, t1, t3, t), t1, t2, t));
  }
}

function openCurve(knots: readonly Knot[]): Pt[] {
  const pts = knots.map(([x, y]): Pt => [x, y]);
  if (pts.length < 2) return pts;
  const out: Pt[] = [];
  for (let i = 0; i + 1 < pts.length; i++) {
    const p1 = pts[i]!;
    const p2 = pts[i + 1]!;
    span(pts[i - 1] ?? mix(p1, p2, -1), p1, p2, pts[i + 2] ?? mix(p2, p1, -1), out);
  }
  out.push(pts.at(-1)!);
  return out;
}

/** A smooth curve through the knots, broken at corners. */
export function curve(knots: readonly Knot[], closed = false): Pt[] {
  if (!closed) {
    const out: Pt[] = [];
    let start = 0;
    for (let i = 1; i < knots.length; i++)
      if (i === knots.length - 1 || knots[i]![2]) {
        out.push(...openCurve(knots.slice(start, i + 1)).slice(out.length > 0 ? 1 : 0));
        start = i;
      }
    return resample(out, false);
  }
  const first = knots.findIndex((k) => k[2]);
  if (first < 0) {
    const n = knots.length;
    const out: Pt[] = [];
    const p = (i: number): Pt => [knots[(i + n) % n]![0], knots[(i + n) % n]![1]];
    for (let i = 0; i < n; i++) span(p(i - 1), p(i), p(i + 1), p(i + 2), out);
    return resample(out, true);
  }
  const turned = [...knots.slice(first), ...knots.slice(0, first + 1)];
  return resample(curve(turned).slice(0, -1), true);
}

export function ellipse(centre: Pt, rx: number, ry: number, angleDeg = 0, fromDeg = 0, sweepDeg = 360): Pt[] {
  const count = Math.max(12, Math.ceil((Math.max(rx, ry) * Math.abs(sweepDeg) * RAD) / STEP_PX));
  const closed = Math.abs(sweepDeg) >= 360;
  const local = Array.from({ length: closed ? count : count + 1 }, (_, k): Pt => {
    const a = (fromDeg + (sweepDeg * k) / count) * RAD;
    return [Math.cos(a) * rx, Math.sin(a) * ry];
  });
  return place(local, centre, angleDeg);
}

/** Unit normals (to the right of travel, y down) of an open path. */
export function normals(path: readonly Pt[]): Pt[] {
  return path.map((_, i): Pt => {
    const a = path[Math.max(0, i - 1)]!;
    const b = path[Math.min(path.length - 1, i + 1)]!;
    const d = dist(a, b) || 1;
    return [-(b[1] - a[1]) / d, (b[0] - a[0]) / d];
  });
}

export interface Tube {
  readonly outline: Pt[];
  readonly spine: Pt[];
  /** Per sample of the outline: it lies within `softPx` of the tube's start, along the spine. */
  readonly soft: boolean[];
}

/**
 * A limb: the outline round a spine whose half width is `halfWidth(u)`, u from 0 to 1 along it. Ends are
 * round, or flat where asked. Where the spine bends tighter than the limb is thick, the inner side folds
 * into a crease instead of looping.
 */
export function tube(
  knots: readonly Knot[],
  halfWidth: (u: number) => number,
  softPx = 0,
  flatEnd = false,
): Tube {
  const spine = curve(knots);
  const n = spine.length - 1;
  const width = spine.map((_, i) => halfWidth(i / n));
  const normal = normals(spine);
  const side = (sign: number): { p: Pt; i: number }[] =>
    spine
      .map((c, i) => ({
        p: [c[0] + normal[i]![0] * width[i]! * sign, c[1] + normal[i]![1] * width[i]! * sign] as Pt,
        i,
      }))
      .filter(({ p, i }) =>
        spine.every((c, j) => j === i || dist(c, p) > Math.min(width[i]!, width[j]!) * 0.97),
      );
  const cap = (i: number, ahead: number): { p: Pt; i: number }[] => {
    const [nx, ny] = normal[i]!;
    const out: { p: Pt; i: number }[] = [];
    for (let a = 15; a < 180; a += 15) {
      const along = Math.sin(a * RAD) * width[i]! * ahead * (flatEnd && i > 0 ? 0.12 : 1);
      const across = Math.cos(a * RAD) * width[i]! * (ahead > 0 ? 1 : -1);
      out.push({
        p: [spine[i]![0] + nx * across + ny * along, spine[i]![1] + ny * across - nx * along],
        i,
      });
    }
    return out;
  };
  const ring = [...side(1), ...cap(n, 1), ...side(-1).reverse(), ...cap(0, -1)];
  const outline = resample(
    ring.map(({ p }) => p),
    true,
  );
  const soft = outline.map((p) => {
    let near = ring[0]!;
    for (const r of ring) if (dist(r.p, p) < dist(near.p, p)) near = r;
    return near.i * STEP_PX < softPx;
  });
  return { outline, spine, soft };
}

export interface Outline {
  readonly points: readonly Pt[];
  readonly box: readonly [x0: number, y0: number, x1: number, y1: number];
}

export function outlineOf(points: readonly Pt[]): Outline {
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of points) {
    x0 = Math.min(x0, x);
    y0 = Math.min(y0, y);
    x1 = Math.max(x1, x);
    y1 = Math.max(y1, y);
  }
  return { points, box: [x0, y0, x1, y1] };
}

/** Whether the point lies inside, by non-zero winding. */
export function contains({ points, box }: Outline, [x, y]: Pt): boolean {
  if (x < box[0] || x > box[2] || y < box[1] || y > box[3]) return false;
  let winding = 0;
  let a = points.at(-1)!;
  for (const b of points) {
    if (a[1] <= y !== b[1] <= y) {
      const cross = (b[0] - a[0]) * (y - a[1]) - (x - a[0]) * (b[1] - a[1]);
      if (b[1] > a[1] ? cross > 0 : cross < 0) winding += b[1] > a[1] ? 1 : -1;
    }
    a = b;
  }
  return winding !== 0;
}

/** Enclosed area of a closed path, px². */
export function areaPx2(points: readonly Pt[]): number {
  let sum = 0;
  let a = points.at(-1)!;
  for (const b of points) {
    sum += a[0] * b[1] - b[0] * a[1];
    a = b;
  }
  return Math.abs(sum) / 2;
}
