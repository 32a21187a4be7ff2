/** What an animator pencils beside a drawing: its number, circled on a key, underlined on a breakdown, and the chart. */
import { curve, ellipse, type Knot, type Pt, place } from './geometry.ts';
import type { Construction } from './scene.ts';
import type { Posed } from './timing.ts';

/** Digits as one or two strokes in a box of 20 × 32. */
const DIGITS: readonly (readonly Knot[])[] = [
  [
    [10, 0],
    [1, 12],
    [4, 29],
    [12, 31],
    [19, 18],
    [15, 3],
    [9, 0],
  ],
  [
    [4, 7],
    [12, 0],
    [10, 32],
  ],
  [
    [2, 8],
    [9, 0],
    [17, 6],
    [13, 17],
    [1, 31, 1],
    [19, 30],
  ],
  [
    [2, 4],
    [11, 0],
    [16, 8],
    [7, 15, 1],
    [17, 22],
    [10, 31],
    [0, 28],
  ],
  [
    [12, 0],
    [0, 20, 1],
    [19, 20, 1],
    [14, 10, 1],
    [13, 32],
  ],
  [
    [17, 1],
    [5, 1, 1],
    [3, 13, 1],
    [14, 14],
    [17, 24],
    [9, 32],
    [0, 28],
  ],
  [
    [14, 0],
    [4, 13],
    [2, 26],
    [11, 31],
    [17, 23],
    [10, 17],
    [3, 22],
  ],
  [
    [0, 2],
    [18, 1, 1],
    [8, 16],
    [5, 32],
  ],
  [
    [10, 15],
    [3, 8],
    [10, 0],
    [16, 7],
    [3, 23],
    [9, 32],
    [17, 24],
    [9, 15],
  ],
  [
    [15, 9],
    [8, 15],
    [2, 8],
    [9, 0],
    [15, 7],
    [13, 20],
    [9, 32],
  ],
];

const blue = (path: readonly Pt[], pressure = 0.75): Construction => ({ path, pencil: 'blue', pressure });

function numeral(label: string, at: Pt, scale: number): Construction[] {
  return label.split('').flatMap((digit, k) => {
    const knots = DIGITS[Number(digit)];
    return knots ? [blue(curve(place(knots, [at[0] + k * 26 * scale, at[1]], 4, scale)))] : [];
  });
}

/** The drawing's number and, on keys and breakdowns, the chart of the drawings that lead on from it. */
export function notation<P>(
  drawing: Posed<P>,
  all: readonly Posed<P>[],
  width: number,
  height: number,
): Construction[] {
  const at: Pt = [width - 150, height - 110];
  const middle: Pt = [at[0] + 13 * drawing.label.length - 2, at[1] + 18];
  const out = numeral(drawing.label, at, 1.1);
  if (drawing.role === 'key') out.push(blue(ellipse(middle, 46, 36, -8, -70, 375)));
  if (drawing.role === 'breakdown')
    out.push(
      blue(
        curve([
          [at[0] - 8, at[1] + 48],
          [middle[0], at[1] + 45],
          [middle[0] * 2 - at[0] + 14, at[1] + 49],
        ]),
      ),
    );
  const between = all.filter((d) => d.chart?.from === drawing.label);
  const to = between[0]?.chart?.to;
  if (drawing.role === 'inbetween' || !to) return out;
  const [x, top, bottom] = [width - 250, height - 400, height - 200];
  const rung = (label: string, fraction: number, half: number): void => {
    const y = top + (bottom - top) * fraction;
    out.push(
      blue(
        curve([
          [x - half, y + 1],
          [x, y],
          [x + half, y - 2],
        ]),
      ),
      ...numeral(label, [x + half + 12, y - 10], 0.6),
    );
  };
  out.push(
    blue(
      curve([
        [x, top - 4],
        [x + 1, (top + bottom) / 2],
        [x - 1, bottom + 4],
      ]),
    ),
  );
  rung(drawing.label, 0, 20);
  rung(to, 1, 20);
  for (const d of between)
    if (d.chart?.to === to) rung(d.label, d.chart.fraction, d.role === 'breakdown' ? 15 : 11);
  return out;
}
