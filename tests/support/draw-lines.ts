/**
 * Anti-aliased drawings for tests, made by brute geometry (the distance of each pixel centre to a polyline),
 * so that true places, widths and moves are known without any code of the program.
 */
export type Point = readonly [x: number, y: number];

export interface TestInk {
  readonly width: number;
  readonly height: number;
  readonly coverage: Uint8Array;
}

/** Lines of one width on paper; darkness 0..1. Pixel (i, j) has its centre at (i + ½, j + ½). */
export function drawLines(
  width: number,
  height: number,
  lines: readonly {
    readonly points: readonly Point[];
    readonly widthPx: number;
    readonly darkness?: number;
  }[],
): TestInk {
  const coverage = new Uint8Array(width * height);
  for (const { points, widthPx, darkness = 1 } of lines) {
    for (let k = 0; k + 1 < points.length; k++) {
      const [x0, y0] = points[k]!;
      const [x1, y1] = points[k + 1]!;
      const reach = widthPx / 2 + 1;
      const length2 = (x1 - x0) ** 2 + (y1 - y0) ** 2;
      const top = Math.max(0, Math.floor(Math.min(y0, y1) - reach));
      const low = Math.min(height - 1, Math.ceil(Math.max(y0, y1) + reach));
      const left = Math.max(0, Math.floor(Math.min(x0, x1) - reach));
      const right = Math.min(width - 1, Math.ceil(Math.max(x0, x1) + reach));
      for (let y = top; y <= low; y++) {
        for (let x = left; x <= right; x++) {
          const px = x + 0.5;
          const py = y + 0.5;
          const t =
            length2 > 0
              ? Math.max(0, Math.min(1, ((px - x0) * (x1 - x0) + (py - y0) * (y1 - y0)) / length2))
              : 0;
          const distance = Math.hypot(px - x0 - t * (x1 - x0), py - y0 - t * (y1 - y0));
          const covered = Math.max(0, Math.min(1, widthPx / 2 - distance + 0.5)) * darkness;
          const i = y * width + x;
          if (covered * 255 > coverage[i]!) coverage[i] = Math.round(covered * 255);
        }
      }
    }
  }
  return { width, height, coverage };
}

/** A point turned about a centre, then shifted. */
export function moved(point: Point, centre: Point, angleRad: number, dx: number, dy: number): Point {
  const c = Math.cos(angleRad);
  const s = Math.sin(angleRad);
  const x = point[0] - centre[0];
  const y = point[1] - centre[1];
  return [centre[0] + c * x - s * y + dx, centre[1] + s * x + c * y + dy];
}

/** An arc of an ellipse as a polyline; angles in radians. */
export function arc(
  cx: number,
  cy: number,
  rx: number,
  ry: number,
  from = 0,
  to = 2 * Math.PI,
  steps = 96,
): Point[] {
  return Array.from({ length: steps + 1 }, (_, k) => {
    const t = from + ((to - from) * k) / steps;
    return [cx + rx * Math.cos(t), cy + ry * Math.sin(t)] as const;
  });
}

/** A figure with no symmetry: head, nose, eye, body, one raised arm. Fits 640 × 480 about (300, 240). */
export function figure(): Point[][] {
  return [
    arc(300, 150, 70, 82),
    arc(330, 140, 14, 20),
    [
      [366, 160],
      [392, 178],
      [362, 186],
    ],
    arc(290, 320, 92, 100, 0.3, 2 * Math.PI - 0.1),
    [
      [375, 280],
      [440, 250],
      [470, 180],
      [486, 172],
      [478, 200],
      [456, 268],
      [382, 306],
    ],
    [
      [230, 390],
      [210, 450],
      [160, 456],
    ],
  ];
}
