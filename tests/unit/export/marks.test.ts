import { expect, test } from 'vitest';
import { marksOf } from '../../../src/export/marks.ts';
import { noteColours } from '../../../src/export/note-colours.ts';

/** All coordinates in absolute path data. */
const numbers = (d: string): [number, number][] =>
  [...d.matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)].map(([, x, y]) => [Number(x), Number(y)]);

const spread = (d: string) => {
  const [xs, ys] = [numbers(d).map(([x]) => x), numbers(d).map(([, y]) => y)];
  return { width: Math.max(...xs) - Math.min(...xs), height: Math.max(...ys) - Math.min(...ys) };
};

test('each stroke is a mark in its pencil’s colour, and never thinner than can be seen', () => {
  const points = [100, 100, 0.5, 200, 100, 0.5, 300, 100, 0.5];
  const row = {
    box: [100, 100, 200, 0] as const,
    strokes: [{ colour: 'blue' as const, widthPx: 0.5, points }],
  };
  const thick = ({ scale }: { scale: number }) => marksOf(row, scale).map(({ d }) => spread(d).height);
  expect(marksOf(row, 1)[0]?.colour).toBe(noteColours.blue);
  // Seen at a fifth of its size, 1½ units wide is 7½ px.
  expect(thick({ scale: 0.2 })[0]).toBeGreaterThan(6);
  expect(thick({ scale: 0.2 })[0]).toBeLessThan(9);
  expect(thick({ scale: 4 })[0]).toBeLessThan(1);
});

test('a note without ink is a cross at its pin; a finding is a box round its place, clear of it', () => {
  const [cross] = marksOf({ box: [50, 60, 0, 0], strokes: [] }, 0.5);
  const at = numbers(cross?.d ?? '');
  expect(at).toHaveLength(4);
  for (const axis of [0, 1] as const) {
    const along = at.map((point) => point[axis]);
    expect(Math.min(...along)).toBeLessThan([50, 60][axis]!);
    expect(Math.max(...along)).toBeGreaterThan([50, 60][axis]!);
  }
  // Three units at half size are six px on each side of 20 × 30.
  expect(marksOf({ box: [10, 20, 20, 30], strokes: [] }, 0.5)[0]?.d).toBe('M4 14h32v42h-32Z');
});

test('a finding at several places has a box round each, none round them all', () => {
  const spots = [
    [10, 20, 20, 30],
    [300, 20, 4, 6],
  ] as const;
  expect(marksOf({ box: [10, 20, 294, 30], spots, strokes: [] }, 0.5).map(({ d }) => d)).toEqual([
    'M4 14h32v42h-32ZM294 14h16v18h-16Z',
  ]);
});
