import { expect, test } from 'vitest';
import type { Finding } from '../../../src/check/finding.ts';
import type { Measured } from '../../../src/check/measured.ts';
import { defaultTolerances } from '../../../src/check/tolerances.ts';
import { across, bandEdge, curvesOf } from '../../../src/desk/checks/curves.ts';
import type { DrawingMeasures } from '../../../src/line/measure-drawing.ts';
import { figure } from './a-shot.ts';

/** Only what the curves read of a drawing's measures. */
const measuresOf = (weightPx: number, againstRough: number): DrawingMeasures =>
  ({
    weight: { medianPx: weightPx, p10Px: weightPx, p90Px: weightPx, measuredPx: 900 },
    volume: { enclosedPx2: 5000, regions: [], againstRough },
  }) as unknown as DrawingMeasures;

const weights: Readonly<Record<string, number>> = { '1': 5, '2': 6, '5': 5, '9': 5 };
const measured: Measured[] = figure.drawings.map((drawing) => ({
  drawing: drawing.label === '2' ? { ...drawing, chart: { from: '1', to: '5', fraction: 0.5 } } : drawing,
  measures: weights[drawing.label] === undefined ? undefined : measuresOf(weights[drawing.label] ?? 0, 1.05),
  spacing:
    drawing.label === '2'
      ? ({ measured: 0.42, offPathPx: 0, rotation: 0, parts: [] } as unknown as Measured['spacing'])
      : undefined,
  boil: undefined,
  failed: undefined,
}));

const curves = curvesOf(
  figure,
  measured,
  { ...defaultTolerances, weight: 0.1, volume: 0.1, spacing: 0.08 },
  [],
);
const named = (name: string) => curves.find((curve) => curve.name === name) ?? curves[0];

test('a point stands at every exposure of a measured drawing, a drawing exposed twice at both', () => {
  // `figure`: 1 at frames 1 and 11, 2 at 4, 5 at 9, 9 at 13; 3 and 4A are not measured here.
  expect(named('weight')?.points.map(({ drawing, frame, length }) => [drawing, frame, length])).toEqual([
    ['1', 1, 3],
    ['2', 4, 2],
    ['5', 9, 2],
    ['1', 11, 2],
    ['9', 13, 1],
  ]);
});

test('weight is told against the keys, volume against the rough, spacing against the chart', () => {
  const off = (name: string, drawing: string) =>
    named(name)?.points.find((point) => point.drawing === drawing)?.off;
  // Keys are 5 px; 6 px is a fifth more. 0.42 where the chart says a half.
  expect(off('weight', '2')).toBeCloseTo(0.2, 9);
  expect(off('volume', '5')).toBeCloseTo(0.05, 9);
  expect(off('spacing', '2')).toBeCloseTo(-0.08, 9);
  expect(named('spacing')?.points).toHaveLength(1);
});

test('a point on the edge of the tolerance lies on the edge of the band; far ones stay on the strip', () => {
  const [curve] = curves;
  if (!curve) throw new Error('no curve');
  const at = (off: number) => across({ drawing: '', frame: 1, length: 1, off, out: false, says: '' }, curve);
  expect(at(curve.band)).toBeCloseTo(bandEdge(curve), 9);
  expect(at(-curve.band)).toBeCloseTo(-bandEdge(curve), 9);
  expect([at(99), at(-99)]).toEqual([1, -1]);
});

test('what a check called out on one part of a drawing is shown by that part', () => {
  const finding = {
    key: 'k',
    check: 'spacing',
    level: 'figure',
    drawing: '2',
    bbox: [0, 0, 10, 10],
    amount: 0.2,
    message: '',
    lineDigest: '',
  } as const;
  const called = curvesOf(figure, measured, defaultTolerances, [finding]);
  const [point] = called.find(({ name }) => name === 'spacing')?.points ?? [];
  // The part at 0.2, the chart at a half.
  expect([point?.out, point?.off]).toEqual([true, expect.closeTo(-0.3, 9)]);
  expect(called.find(({ name }) => name === 'weight')?.points.some(({ out }) => out)).toBe(false);
});

test('of several places called out in one drawing the point stands by the one that is farthest off', () => {
  const found = (check: 'weight' | 'spacing', drawing: string, amount: number): Finding => ({
    key: `${check} ${drawing} ${amount}`,
    check,
    level: figure.name,
    drawing,
    bbox: [0, 0, 1, 1],
    amount,
    message: '',
    lineDigest: '',
  });
  const [weight, , spacing] = curvesOf(figure, measured, defaultTolerances, [
    found('weight', '2', 0.5),
    found('weight', '2', -0.2),
    // At places of the way; the chart says a half.
    found('spacing', '2', 0.2),
    found('spacing', '2', 0.6),
  ]);
  expect(weight?.points.find(({ drawing }) => drawing === '2')).toMatchObject({ off: 0.5, out: true });
  expect(spacing?.points[0]?.off).toBeCloseTo(-0.3, 9);
});
