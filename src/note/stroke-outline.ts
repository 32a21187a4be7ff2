/** The shape of a pen stroke on paper: the same on the tablet, in a PDF and at a prompt. */
import { getStroke } from 'perfect-freehand';
import type { Stroke } from './entry.ts';

/**
 * SVG path data (absolute, closed) of the ink's outline, px of the pin's picture; empty for no points. The
 * width follows the pressure: `widthPx` at ½, from a quarter to seven quarters of it.
 */
export function strokeOutline({ points, widthPx }: Pick<Stroke, 'points' | 'widthPx'>): string {
  const triples = Array.from({ length: Math.floor(points.length / 3) }, (_, n) =>
    points.slice(3 * n, 3 * n + 3),
  );
  const outline = getStroke(triples, {
    size: widthPx,
    thinning: 0.75,
    smoothing: 0.5,
    // Low, so that the ink lies where the pen was: a note points at a place.
    streamline: 0.15,
    simulatePressure: false,
    last: true,
  });
  const [first, ...rest] = outline.map(([x, y]) => `${tenth(x ?? 0)} ${tenth(y ?? 0)}`);
  return first === undefined ? '' : `M${first}${rest.map((at) => `L${at}`).join('')}Z`;
}

function tenth(value: number): number {
  return Math.round(value * 10) / 10;
}
