/** Boil is told by its cause: places where a drawing is off for another reason are left out. Hand arithmetic. */
import { describe, expect, it } from 'vitest';
import { findBetween } from '../../../src/check/find-between.ts';
import type { CheckName, Finding } from '../../../src/check/finding.ts';
import type { Results } from '../../../src/check/jobs.ts';
import type { Measured } from '../../../src/check/measured.ts';
import { defaultTolerances } from '../../../src/check/tolerances.ts';
import { type Boil, boilBeside } from '../../../src/line/boil.ts';
import type { Box } from '../../../src/line/picture.ts';

const ARM: Box = [700, 200, 120, 300];
const HEAD: Box = [300, 60, 200, 220];
const BODY: Box = [280, 320, 260, 400];

/** Root mean squares of 4 px on the arm's 50 samples, and 0.3 and 0.4 px on 200 and 150 others. */
const moved: Boil = {
  linePx: Math.sqrt((50 * 16 + 200 * 0.09 + 150 * 0.16) / 400),
  lineP95Px: 4,
  widthPx: 0,
  movedPx: 0,
  worst: { bbox: ARM, linePx: 4 },
  patches: [
    { bbox: ARM, sumSqPx2: 50 * 16, samples: 50 },
    { bbox: HEAD, sumSqPx2: 200 * 0.09, samples: 200 },
    { bbox: BODY, sumSqPx2: 150 * 0.16, samples: 150 },
  ],
};

function boilTold(boil: Boil, told: readonly [CheckName, Box][]): Finding[] {
  const measures = { sizePx: [2048, 1152], digests: undefined } as unknown as Results['drawing'];
  const one: Measured = {
    drawing: { label: '2', takes: [] },
    measures,
    spacing: undefined,
    boil,
    failed: undefined,
  };
  const others = told.map(([check, bbox]) => ({ check, bbox }) as Finding);
  return findBetween({ name: '', drawings: [], exposures: [] }, one, others, defaultTolerances);
}

describe('boil', () => {
  it('beside a place that is left out is the root mean square of the rest', () => {
    const left = boilBeside(moved, (bbox) => bbox === ARM);
    expect(left?.linePx).toBeCloseTo(Math.sqrt((200 * 0.09 + 150 * 0.16) / 350), 12);
    expect(left?.worst).toEqual(BODY);
    expect(boilBeside(moved, () => true)).toBeUndefined();
  });

  it.each(['drift', 'volume', 'wobble'] as const)('is not told again where %s is told', (check) => {
    expect(boilTold(moved, [[check, ARM]])).toEqual([]);
  });

  it('is told where nothing else explains it', () => {
    expect(boilTold(moved, [])).toHaveLength(1);
    expect(boilTold(moved, [['specks', ARM]])).toHaveLength(1);
    expect(boilTold(moved, [['drift', [1500, 900, 60, 60]]])).toMatchObject([{ check: 'boil', bbox: ARM }]);
  });

  it('is told of the rest of the line when that boils too', () => {
    const all = {
      ...moved,
      patches: moved.patches.map((patch) => ({ ...patch, sumSqPx2: 4 * patch.samples })),
    };
    // √4 px on what is left.
    expect(boilTold(all, [['drift', ARM]])).toMatchObject([{ check: 'boil', amount: 2 }]);
  });
});
