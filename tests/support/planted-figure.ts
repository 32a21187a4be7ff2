/** The figure of the planted shots, by formula: its shapes, their lengths and areas, in units of a 1000 × 700 grid. */

export type Point = readonly [x: number, y: number];

export interface Shape {
  readonly id: 'head' | 'eye' | 'mouth' | 'body' | 'arm' | 'leg' | 'belt' | 'stray';
  readonly points: readonly Point[];
  readonly closed?: boolean;
}

export function ellipse(cx: number, cy: number, rx: number, ry: number): Point[] {
  return Array.from({ length: 72 }, (_, k) => [
    cx + rx * Math.cos((k * Math.PI) / 36),
    cy + ry * Math.sin((k * Math.PI) / 36),
  ]);
}

export function figure(t: number, { head = 1 } = {}): Shape[] {
  const at = (points: readonly Point[]): Point[] =>
    points.map(([x, y]) => [x + 220 + 110 * t, y + 60 - 18 * t]);
  const [sx, sy, swing] = [190, 250, -0.1 * t];
  const swung = ([x, y]: Point): Point => [
    sx + (x - sx) * Math.cos(swing) - (y - sy) * Math.sin(swing),
    sy + (x - sx) * Math.sin(swing) + (y - sy) * Math.cos(swing),
  ];
  const arm: Point[] = [
    [190, 236],
    [300, 262],
    [318, 290],
    [300, 306],
    [188, 272],
  ];
  const quad = (...points: Point[]) => ({ points: at(points), closed: true });
  return [
    { id: 'head', points: at(ellipse(120, 110, 80 * head, 88 * head)), closed: true },
    { id: 'eye', points: at(ellipse(95, 100, 7, 7)), closed: true },
    { id: 'eye', points: at(ellipse(146, 100, 7, 7)), closed: true },
    {
      id: 'mouth',
      points: at(
        Array.from({ length: 20 }, (_, k): Point => [90 + 3 * k, 145 + 10 * Math.sin((Math.PI * k) / 19)]),
      ),
    },
    { id: 'body', ...quad([70, 215], [175, 215], [205, 420], [45, 425]) },
    { id: 'arm', points: at(arm.map(swung)), closed: true },
    { id: 'leg', ...quad([70, 445], [110, 445], [112, 560], [60, 566]) },
    { id: 'leg', ...quad([140, 445], [185, 445], [196, 560], [142, 566]) },
    {
      id: 'belt',
      points: at([
        [57, 330],
        [191, 326],
      ]),
    },
  ];
}

export const lengthOf = (points: readonly Point[]) =>
  points.slice(1).reduce((sum, [x, y], k) => sum + Math.hypot(x - points[k]![0], y - points[k]![1]), 0);

/** Shoelace formula; nothing for what lies inside another shape or does not close. */
export function areaOf({ id, points, closed }: Shape): number {
  if (!closed || id === 'eye') return 0;
  const twice = points.reduce((sum, [x, y], k) => {
    const [nextX, nextY] = points[(k + 1) % points.length]!;
    return sum + x * nextY - nextX * y;
  }, 0);
  return Math.abs(twice) / 2;
}
