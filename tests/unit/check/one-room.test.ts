/** What belongs to one fault stays with it: its tolerance, its key, its unit. */
import { describe, expect, it, test } from 'vitest';
import { findInDrawing } from '../../../src/check/find-in-drawing.ts';
import { findingKey } from '../../../src/check/finding.ts';
import type { Measured } from '../../../src/check/measured.ts';
import { defaultTolerances, scaled, type Tolerances } from '../../../src/check/tolerances.ts';

/** One of a level's drawings, 2048 × 1152 px, with a gap, a speck and a shaking stretch at one place. */
function measured(label: string, at: readonly [number, number] | undefined): Measured {
  const [x, y] = at ?? [0, 0];
  const bbox = [x - 20, y - 20, 40, 40] as const;
  return {
    drawing: { label, takes: [] },
    measures: {
      sizePx: [2048, 1152],
      inkBox: [300, 200, 900, 700],
      weight: { refused: 'none' },
      volume: { refused: 'none' },
      drift: { refused: 'none' },
      registration: { refused: 'none' },
      leaks: at ? [{ xPx: x, yPx: y, widthPx: 9, between: [at, at], regions: [0, 1], inRough: true }] : [],
      specks: at ? [{ kind: 'speck', xPx: x, yPx: y, areaPx2: 9, inRough: false }] : [],
      wobble: { rmsPx: 0.3, runs: at ? [{ bbox, lengthPx: 60, rmsPx: 2 }] : [] },
      digests: { cellPx: 32, columns: 64, values: new Uint32Array(64 * 36) },
    },
    spacing: undefined,
    boil: undefined,
    failed: undefined,
  } as unknown as Measured;
}

const level = { name: '', drawings: [], exposures: [] };
const checksFound = (all: readonly Measured[], to: Tolerances) =>
  findInDrawing(level, all[1]!, all, to).map(({ check }) => check);

describe('whether a small thing recurs', () => {
  // 300 px away in each neighbour: another thing, whatever drift is allowed.
  const far = [measured('1', [900, 500]), measured('2', [600, 500]), measured('3', [900, 500])];

  it('does not hang on the tolerance of drift', () => {
    const strict = checksFound(far, defaultTolerances);
    expect(strict).toEqual(['leaks', 'specks', 'wobble']);
    expect(checksFound(far, { ...defaultTolerances, driftPx: 40 })).toEqual(strict);
  });

  it('leaves out what the neighbours have at the same place', () => {
    const near = [measured('1', [630, 520]), measured('2', [600, 500]), measured('3', [570, 490])];
    expect(checksFound(near, defaultTolerances)).toEqual([]);
  });
});

test('specks far from one another are one finding that keeps the place of each', () => {
  const one = measured('1', [600, 500]);
  const more = [
    { kind: 'speck', xPx: 600, yPx: 500, areaPx2: 9, inRough: false },
    { kind: 'speck', xPx: 1500, yPx: 900, areaPx2: 9, inRough: false },
  ];
  const both = { ...one, measures: { ...one.measures, specks: more } } as unknown as Measured;
  const specks = (of: Measured) =>
    findInDrawing(level, of, [of], defaultTolerances).filter(({ check }) => check === 'specks');
  const [found] = specks(both);
  expect(found?.spots).toHaveLength(2);
  for (const [n, { xPx, yPx }] of more.entries()) {
    const [x, y, width, height] = found?.spots?.[n] ?? [0, 0, 0, 0];
    expect([x + width / 2, y + height / 2]).toEqual([xPx, yPx]);
  }
  expect(specks(one)[0]?.spots).toBeUndefined();
});

describe('the key of a finding', () => {
  const sizePx = [2048, 1152] as const;
  const long = 'A level whose name takes all the two hundred characters that it may have '.padEnd(200, '…');
  const key = (level: string, drawing: string, x: number) =>
    findingKey('drift', level, drawing, [x, 300, 40, 40], sizePx, 'displaced');

  it('tells places, drawings and levels apart, be their names ever so long', () => {
    const keys = [
      key(long, '12', 300),
      key(long, '12', 900),
      key(long, '13', 300),
      key(`${long.slice(1)}B`, '12', 300),
    ];
    expect(new Set(keys).size).toBe(keys.length);
    for (const each of keys) expect(each.length).toBeLessThanOrEqual(100);
  });

  it('is spelt out where it fits, as kept dismissals have it', () => {
    expect(key('kite', '12A', 300)).toBe('drift/displaced/kite/12A/6/6');
  });
});

test('on paper twice as wide lengths are twice as long; shares stay, and gaps, which a fill sees in px', () => {
  const twice = scaled(defaultTolerances, 4096);
  const grown = Object.entries(twice)
    .filter(([name, value]) => value === 2 * defaultTolerances[name as keyof Tolerances])
    .map(([name]) => name);
  expect(grown.sort()).toEqual([
    'boilPx',
    'driftLengthPx',
    'driftPx',
    'missedPx',
    'registrationPx',
    'spacingPartPx',
    'volumePx',
    'wobblePx',
  ]);
  for (const name of [
    'weight',
    'missedStrength',
    'volume',
    'spacing',
    'spacingPart',
    'leakPx',
    'leakLeastPx',
  ] as const)
    expect(twice[name], name).toBe(defaultTolerances[name]);
});
