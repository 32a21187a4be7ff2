import type { LineSamples } from '../../src/line/samples.ts';
import type { Point } from './draw-lines.ts';

/** Mid-line points straight from geometry: what a perfect skeleton of these polylines would give. */
export function samplesOf(lines: readonly (readonly Point[])[], stepPx = 1, widthPx = 4): LineSamples {
  const x: number[] = [];
  const y: number[] = [];
  const tangent: number[] = [];
  const chainStart = [0];
  const closed: number[] = [];
  for (const points of lines) {
    let carry = 0;
    for (let k = 0; k + 1 < points.length; k++) {
      const [x0, y0] = points[k]!;
      const [x1, y1] = points[k + 1]!;
      const length = Math.hypot(x1 - x0, y1 - y0);
      for (; carry < length; carry += stepPx) {
        x.push(x0 + ((x1 - x0) * carry) / length);
        y.push(y0 + ((y1 - y0) * carry) / length);
        tangent.push(Math.atan2(y1 - y0, x1 - x0));
      }
      carry -= length;
    }
    chainStart.push(x.length);
    const [first, last] = [points[0]!, points.at(-1)!];
    closed.push(Number(Math.hypot(first[0] - last[0], first[1] - last[1]) < 1e-6));
  }
  return {
    stepPx,
    x: Float32Array.from(x),
    y: Float32Array.from(y),
    tangentRad: Float32Array.from(tangent),
    widthPx: new Float32Array(x.length).fill(widthPx),
    chainStart: Uint32Array.from(chainStart),
    chainClosed: Uint8Array.from(closed),
  };
}
