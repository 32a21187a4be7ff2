// Expected: work that grows with the shot, not with its square, counted as looks through the list of names.
import * as fc from 'fast-check';
import { expect, test, vi } from 'vitest';
import { chartFault, soundCharts } from '../../../src/shot/chart-tree.ts';
import { checkShot } from '../../../src/shot/check-shot.ts';
import type { Drawing } from '../../../src/shot/model.ts';

const shot = (labels: readonly string[], length = 2) => ({
  id: 'shot-1',
  title: '',
  fps: 24,
  sizePx: [1, 2],
  levels: [
    {
      name: '',
      drawings: labels.map((label) => ({ label, takes: [] })),
      exposures: [{ drawing: labels[0], frame: 1, length }],
    },
  ],
});

test('no name is looked for by going through all of them', () => {
  const search = vi.spyOn(Array.prototype, 'indexOf');
  const labels = Array.from({ length: 500 }, (_, n) => String(n + 1));
  expect(checkShot(shot(labels)).ok).toBe(true);
  const looks = search.mock.contexts.filter((list) => (list as unknown[]).length >= 500).length;
  search.mockRestore();
  expect(looks).toBe(0);
});
test('every name that comes twice is told once', () => {
  const result = checkShot(shot(['7', '3', '7', '3', '3']));
  expect(result).toMatchObject({
    faults: [expect.stringContaining('labelled 7'), expect.stringContaining('labelled 3')],
  });
});
test('a drawing held for a million frames is a shot, one for longer is refused with its field', () => {
  expect(checkShot(shot(['1'], 1_000_000)).ok).toBe(true);
  for (const length of [1_000_001, 1e15])
    expect(checkShot(shot(['1'], length))).toMatchObject({
      ok: false,
      faults: [expect.stringMatching(/exposures\[0\]\.length: is .* but must be at most 1000000\./)],
    });
});

/** How often maps and sets are asked while `work` runs. */
function asked(work: () => unknown): number {
  const spies = [
    vi.spyOn(Map.prototype, 'get'),
    vi.spyOn(Set.prototype, 'has'),
    vi.spyOn(Set.prototype, 'add'),
  ];
  work();
  const count = spies.reduce((sum, spy) => sum + spy.mock.calls.length, 0);
  for (const spy of spies) spy.mockRestore();
  return count;
}

const chained = (count: number, from: (n: number) => number): Drawing[] =>
  Array.from({ length: count }, (_, n) => {
    const between = { from: String(from(n)), to: String(count), fraction: 0.5 };
    const isLast = from(n) < 0 || from(n) >= count;
    return { label: String(n), takes: [], ...(!isLast && { chart: between }) };
  }).concat({ label: String(count), takes: [] });

test.each([
  ['each on the one before it', (n: number) => n - 1],
  ['each on the one after it', (n: number) => n + 1],
  ['all in one circle', (n: number) => (n === 0 ? 1199 : n - 1)],
])('charts, %s: twice as many are asked twice as often', (_, from) => {
  // The circle closes at 1200 in both, and more drawings hang on it.
  const [few, many] = [1200, 2400].map((count) => asked(() => soundCharts(chained(count, from)))) as [
    number,
    number,
  ];
  expect(few).toBeGreaterThan(1200);
  expect(many / few).toBeLessThan(2.5);
});

// Expected: what `chartFault` says of each chart in turn, against those that were taken before it.
test('of charts at random those stay that close no circle with an earlier one', () => {
  const label = fc.integer({ min: 0, max: 7 }).map(String);
  const charts = fc.array(fc.option(fc.tuple(label, label), { nil: undefined, freq: 6 }), { maxLength: 8 });
  fc.assert(
    fc.property(charts, (ends) => {
      const drawings = ends.map(
        (pair, n): Drawing => ({
          label: String(n),
          takes: [],
          ...(pair && { chart: { from: pair[0], to: pair[1], fraction: 0.5 } }),
        }),
      );
      const taken = drawings.map((drawing): Drawing => ({ ...drawing, chart: undefined }));
      const faults = drawings.flatMap((drawing, n) => {
        const fault = drawing.chart && chartFault({ drawings: taken }, drawing.label, drawing.chart);
        if (fault === undefined) taken[n] = drawing;
        return fault ?? [];
      });
      const sound = soundCharts(drawings);
      expect(sound.faults).toEqual(faults);
      expect(sound.drawings.map(({ chart }) => chart)).toEqual(taken.map(({ chart }) => chart));
    }),
    { numRuns: 2000 },
  );
});
