/** Published line art as polylines, so that it can be bent, turned and drawn again. Resvg turns every shape into paths. */
import { Resvg } from '@resvg/resvg-js';
import type { Point } from './draw-lines.ts';
import type { LineArt } from './line-art.ts';

const STEPS_A_CURVE = 14;

/** The strokes of a picture, in a box 1 unit high or wide (the longer side), centred on the origin. */
export function strokesOf({ svg }: LineArt): Point[][] {
  const plain = new Resvg(svg.replaceAll('currentColor', '#000'), {
    font: { loadSystemFonts: false },
  }).toString();
  const strokes = [...plain.matchAll(/ d="([^"]*)"/g)].flatMap(([, d]) => polylines(d!));
  const xs = strokes.flat().map(([x]) => x);
  const ys = strokes.flat().map(([, y]) => y);
  const [left, right, top, low] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const size = Math.max(right - left, low - top);
  return strokes.map((line) =>
    line.map(([x, y]): Point => [(x - (left + right) / 2) / size, (y - (top + low) / 2) / size]),
  );
}

/** Paths as resvg writes them: absolute M, L, Q, C and Z. */
function polylines(d: string): Point[][] {
  const out: Point[][] = [];
  const words = d.match(/[A-Za-z]|-?[\d.]+(?:e-?\d+)?/g) ?? [];
  let line: Point[] = [];
  let k = 0;
  const point = (): Point => [Number(words[k++]), Number(words[k++])];
  let command = '';
  while (k < words.length) {
    if (/[A-Za-z]/.test(words[k]!)) command = words[k++]!;
    const from = line.at(-1);
    if (command === 'M') {
      line = [point()];
      out.push(line);
    } else if (command === 'L') line.push(point());
    else if (command === 'Z') line.push(line[0]!);
    else if (command === 'C' || command === 'Q') {
      const handles = command === 'C' ? [from!, point(), point(), point()] : [from!, point(), point()];
      for (let s = 1; s <= STEPS_A_CURVE; s++) line.push(bezier(handles, s / STEPS_A_CURVE));
    } else throw new Error(`a path command that is not known: ${command}`);
  }
  return out.filter((one) => one.length > 1);
}

/** De Casteljau. */
function bezier(handles: readonly Point[], t: number): Point {
  if (handles.length === 1) return handles[0]!;
  return bezier(
    handles.slice(1).map(([x, y], k): Point => {
      const [fromX, fromY] = handles[k]!;
      return [fromX + t * (x - fromX), fromY + t * (y - fromY)];
    }),
    t,
  );
}

export const lengthOf = (lines: readonly (readonly Point[])[]): number =>
  lines.reduce(
    (sum, line) =>
      sum + line.slice(1).reduce((part, [x, y], k) => part + Math.hypot(x - line[k]![0], y - line[k]![1]), 0),
    0,
  );

/** The same lines in points about `stepPx` apart, so that they bend smoothly. */
export function resampled(lines: readonly (readonly Point[])[], stepPx: number): Point[][] {
  return lines.map((line) => {
    const out: Point[] = [line[0]!];
    for (let k = 1; k < line.length; k++) {
      const [x0, y0] = line[k - 1]!;
      const [x1, y1] = line[k]!;
      const pieces = Math.max(1, Math.round(Math.hypot(x1 - x0, y1 - y0) / stepPx));
      for (let s = 1; s <= pieces; s++)
        out.push([x0 + ((x1 - x0) * s) / pieces, y0 + ((y1 - y0) * s) / pieces]);
    }
    return out;
  });
}
