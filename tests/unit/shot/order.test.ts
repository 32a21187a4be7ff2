import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { chartFault, knockOn, soundCharts } from '../../../src/shot/chart-tree.ts';
import { guessExposures } from '../../../src/shot/exposures.ts';
import { flipSet } from '../../../src/shot/flip-sets.ts';
import type { Drawing, Level, Role } from '../../../src/shot/model.ts';
import { rolesFromPosition } from '../../../src/shot/roles-from-position.ts';
import { workingOrder } from '../../../src/shot/working-order.ts';
import { drawing, level } from './make.ts';

const between = (from: string, to: string, fraction = 0.5) => ({ from, to, fraction });

/** Keys 1 and 9, breakdown 5, in-betweens 3, 7 and 8: 8 hangs on 7. */
const walk = level(
  [
    drawing('1', 'key'),
    drawing('3', 'inbetween', between('1', '5')),
    drawing('5', 'breakdown', between('1', '9')),
    drawing('7', 'inbetween', between('5', '9')),
    drawing('8', 'inbetween', between('7', '9', 1 / 3)),
    drawing('9', 'key'),
  ],
  guessExposures(['1', '3', '5', '7', '8', '9']),
);

/** Any drawings with charts that hold no circle, in any order of labels, roles and frames. */
const anyLevel = fc
  .array(
    fc.record({
      role: fc.constantFrom<Role | undefined>('key', 'breakdown', 'inbetween', undefined),
      a: fc.nat(),
      b: fc.nat(),
      charted: fc.boolean(),
      runsOn: fc.boolean(),
    }),
    { maxLength: 24 },
  )
  .chain((list) =>
    fc.tuple(
      fc.constant(list),
      fc.shuffledSubarray(
        list.map((_, i) => i),
        { minLength: list.length },
      ),
    ),
  )
  .map(([list, order]): Level => {
    const label = (i: number) => String(order[i]);
    const drawings = list.map(({ role, a, b, charted, runsOn }, i): Drawing => {
      // Only drawings before it in the list: so there is no circle, whatever the labels are.
      const [from, to] = [a % Math.max(1, i), b % Math.max(1, i)];
      const chart = charted && i > 1 && from !== to ? between(label(from), label(to)) : undefined;
      return { ...drawing(label(i), role, chart), ...(runsOn && { runsOn }) };
    });
    return level(drawings, guessExposures(drawings.map((d) => d.label)));
  });

describe('working order', () => {
  it('goes keys, breakdowns, in-betweens, each after what it lies between', () => {
    expect(workingOrder([walk]).map(({ drawing: label }) => label)).toEqual(['1', '9', '5', '3', '7', '8']);
  });

  it('takes the keys of all levels first', () => {
    const hat = level([drawing('1', 'key'), drawing('2', 'inbetween')], guessExposures(['1', '2']), 'hat');
    expect(workingOrder([walk, hat]).slice(0, 3)).toEqual([
      { level: '', drawing: '1' },
      { level: 'hat', drawing: '1' },
      { level: '', drawing: '9' },
    ]);
  });

  it('puts what runs on after the poses it follows and before in-betweens, whatever its role', () => {
    const tail = level(
      [
        { ...drawing('1', 'key'), runsOn: true },
        drawing('3', 'inbetween', between('5', '9')),
        drawing('5', 'breakdown'),
        { ...drawing('7', undefined, between('9', '3')), runsOn: true },
        drawing('9', 'key'),
      ],
      guessExposures(['1', '3', '5', '7', '9']),
    );
    // 7 hangs on 3 by its chart, so it waits for it.
    expect(workingOrder([tail]).map(({ drawing: label }) => label)).toEqual(['9', '5', '1', '3', '7']);
  });

  it('never puts a drawing before one it hangs on, and loses none', () => {
    fc.assert(
      fc.property(anyLevel, (any) => {
        const order = workingOrder([any]).map(({ drawing: label }) => label);
        expect([...order].sort()).toEqual(any.drawings.map(({ label }) => label).sort());
        for (const { label, chart } of any.drawings)
          for (const end of chart ? [chart.from, chart.to] : [])
            expect(order.indexOf(end), `${end} before ${label}`).toBeLessThan(order.indexOf(label));
      }),
      { seed: 31 },
    );
  });

  it('is the same whatever the order of the drawings given', () => {
    fc.assert(
      fc.property(anyLevel, (any) => {
        const turned = { ...any, drawings: [...any.drawings].reverse() };
        expect(workingOrder([turned])).toEqual(workingOrder([any]));
      }),
      { seed: 32 },
    );
  });

  it('loses nothing when damaged data holds a circle', () => {
    const circle = level([
      drawing('1', 'key', between('2', '3')),
      drawing('2', 'key', between('1', '3')),
      drawing('3', 'key'),
    ]);
    expect(
      workingOrder([circle])
        .map(({ drawing: label }) => label)
        .sort(),
    ).toEqual(['1', '2', '3']);
  });
});

describe('chart tree', () => {
  it('gives all that hangs on a drawing, directly or not', () => {
    expect(knockOn(walk, '7')).toEqual(['8']);
    expect(knockOn(walk, '5')).toEqual(['3', '7', '8']);
    expect(knockOn(walk, '9')).toEqual(['5', '3', '7', '8'].sort());
    expect(knockOn(walk, '3')).toEqual([]);
  });

  it.each([
    ['7', between('5', '11'), 'Drawing 7 cannot lie beside 11: there is no drawing 11 on this level.'],
    ['7', between('7', '9'), 'Drawing 7 cannot lie between itself and another drawing.'],
    ['7', between('9', '9'), 'The chart of 7 names 9 twice: it needs two different drawings.'],
    ['7', between('5', '9', 1), 'The chart of 7 says 1: it must lie between 0 and 1.'],
    ['5', between('1', '8'), 'Drawing 5 cannot lie beside 8, because 8 already hangs on 5.'],
    ['5', between('1', '9'), undefined],
  ])('of %s with %o is refused with a sentence or taken', (label, chart, sentence) => {
    expect(chartFault(walk, label, chart)).toBe(sentence);
  });

  it('drops the chart that closes a circle and keeps the others', () => {
    const { drawings, faults } = soundCharts([
      drawing('1', undefined, between('2', '3')),
      drawing('2', undefined, between('1', '3')),
      drawing('3'),
    ]);
    expect(drawings.map(({ chart }) => chart)).toEqual([between('2', '3'), undefined, undefined]);
    expect(faults).toEqual(['Drawing 2 cannot lie beside 1, because 1 already hangs on 2.']);
  });
});

describe('flip sets', () => {
  it('are keys, keys and breakdowns, all, or those held', () => {
    expect(flipSet(walk, { kind: 'keys' })).toEqual(['1', '9']);
    expect(flipSet(walk, { kind: 'keys and breakdowns' })).toEqual(['1', '5', '9']);
    expect(flipSet(walk, { kind: 'all' })).toEqual(['1', '3', '5', '7', '8', '9']);
    expect(flipSet(walk, { kind: 'held', labels: ['9', '1', '77', '9'] })).toEqual(['1', '9']);
    expect(flipSet(walk, { kind: 'held', labels: ['1', '3', '5', '7', '8', '9'] })).toHaveLength(5);
  });
});

describe('roles from position', () => {
  const bare = (labels: readonly string[], exposures = guessExposures(labels)) =>
    rolesFromPosition(
      level(
        labels.map((label) => drawing(label)),
        exposures,
      ),
    );

  it('make the ends keys, the middle a breakdown, the rest in-betweens on even charts', () => {
    expect(bare(['1', '2', '3', '4', '5']).map(({ role, chart }) => [role, chart?.fraction])).toEqual([
      ['key', undefined],
      ['inbetween', 0.5],
      ['breakdown', 0.5],
      ['inbetween', 0.5],
      ['key', undefined],
    ]);
  });

  it('take a long hold for a key', () => {
    const holds = [2, 2, 2, 8, 2, 2, 2];
    let frame = 1;
    const exposures = holds.map((length, i) => {
      const exposure = { drawing: String(i + 1), frame, length };
      frame += length;
      return exposure;
    });
    const roles = bare(
      exposures.map((e) => e.drawing),
      exposures,
    ).map(({ role }) => role);
    expect(roles[3]).toBe('key');
  });

  it('follow the charts where there are any, and leave what was said', () => {
    const said = level([
      drawing('1'),
      drawing('3', undefined, between('1', '5')),
      drawing('5'),
      drawing('4', 'breakdown', between('3', '5')),
    ]);
    expect(rolesFromPosition(said).map(({ role }) => role)).toEqual(['key', 'breakdown', 'key', 'breakdown']);
  });

  it('never make a circle', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 40 }), (count) => {
        const labels = Array.from({ length: count }, (_, i) => String(i + 1));
        const drawings = bare(labels);
        expect(soundCharts(drawings).faults).toEqual([]);
        expect(drawings.every(({ role }) => role)).toBe(true);
      }),
      { seed: 33 },
    );
  });
});
