// Expected values: worked by hand on a six-frame sheet; the rest are invariants.
import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { applyEntries } from '../../../src/note/apply.ts';
import type { Entry } from '../../../src/note/entry.ts';
import { parseEntry } from '../../../src/note/parse.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { ana, entry, ines, shot } from './make.ts';

const role = (drawing: string, value: 'key' | 'breakdown' | 'inbetween' | null, at: number, id?: string) =>
  entry({ kind: 'role', level: '', drawing, role: value }, at, ines, id);
const expose = (drawing: string, exposures: [frame: number, length: number][], at: number) =>
  entry(
    {
      kind: 'exposure',
      level: '',
      drawing,
      exposures: exposures.map(([frame, length]) => ({ frame, length })),
    },
    at,
    ines,
  );
const sheet = (result: Shot) =>
  result.levels[0]?.exposures.map(({ drawing, frame, length }) => [drawing, frame, length]);
const drawing = (result: Shot, label: string) => result.levels[0]?.drawings.find((d) => d.label === label);

describe('roles and charts', () => {
  test('the last writer wins, in whatever order entries arrive', () => {
    const entries = [role('3', 'key', 20), role('3', 'inbetween', 10)];
    expect(drawing(applyEntries(shot, entries), '3')?.role).toBe('key');
    expect(drawing(applyEntries(shot, entries.toReversed()), '3')?.role).toBe('key');
  });
  test('equal stamps fall to the greater id', () => {
    const entries = [role('3', 'key', 5, 'b'), role('3', 'breakdown', 5, 'a')];
    expect(drawing(applyEntries(shot, entries), '3')?.role).toBe('key');
  });
  test('null takes a role off', () => {
    expect(drawing(applyEntries(shot, [role('3', 'key', 1), role('3', null, 2)]), '3')).not.toHaveProperty(
      'role',
    );
  });
  test('a chart is set and taken off', () => {
    const chart = { from: '1', to: '5', fraction: 1 / 3 };
    const set = entry({ kind: 'chart', level: '', drawing: '3', chart }, 1);
    const off = entry({ kind: 'chart', level: '', drawing: '3', chart: null }, 2);
    expect(drawing(applyEntries(shot, [set]), '3')?.chart).toEqual(chart);
    expect(drawing(applyEntries(shot, [set, off]), '3')).not.toHaveProperty('chart');
  });
  test('parts of a chart come and go with it, with whatever a later version says of them', () => {
    const part = { place: { box: [10, 20, 30, 40] as const }, words: 'sleeve', fraction: 1 / 3, ink: 'blue' };
    const chart = { from: '1', to: '5', fraction: 0.5, parts: [part] };
    const set = entry({ kind: 'chart', level: '', drawing: '3', chart }, 1);
    const parsed = parseEntry(JSON.parse(JSON.stringify(set)));
    expect(parsed).toEqual({ ok: true, entry: set });
    expect(drawing(applyEntries(shot, [set]), '3')?.chart?.parts).toEqual([part]);
    const without = entry(
      { kind: 'chart', level: '', drawing: '3', chart: { ...chart, parts: undefined } },
      2,
    );
    expect(drawing(applyEntries(shot, [set, without]), '3')?.chart?.parts).toBeUndefined();
  });
  test('a drawing is said to run on, and not to; an artist cannot say it', () => {
    const says = (runsOn: boolean | undefined, at: number, writer = ines) =>
      entry({ kind: 'drawing', level: '', drawing: '3', runsOn }, at, writer);
    expect(drawing(applyEntries(shot, [says(true, 1)]), '3')?.runsOn).toBe(true);
    expect(drawing(applyEntries(shot, [says(true, 1), says(undefined, 2, ana)]), '3')?.runsOn).toBe(true);
    expect(drawing(applyEntries(shot, [says(true, 1), says(false, 2)]), '3')).not.toHaveProperty('runsOn');
    expect(drawing(applyEntries(shot, [says(true, 1, ana)]), '3')).not.toHaveProperty('runsOn');
  });
  test('what a version before it read as a field it did not know is understood, and stays no such field', () => {
    const old = entry({ kind: 'drawing', level: '', drawing: '3', extra: { runsOn: true, hours: 3 } }, 1);
    expect(drawing(applyEntries(shot, [old]), '3')).toMatchObject({ runsOn: true, extra: { hours: 3 } });
    expect(drawing(applyEntries(shot, [old]), '3')?.extra).not.toHaveProperty('runsOn');
  });
  test('a withdrawn role gives the one before; withdrawing the withdrawal brings it back', () => {
    const first = role('3', 'breakdown', 1);
    const second = role('3', 'key', 2);
    const back = entry({ kind: 'withdraw', to: second.id }, 3);
    const again = entry({ kind: 'withdraw', to: back.id }, 4);
    expect(drawing(applyEntries(shot, [first, second, back]), '3')?.role).toBe('breakdown');
    expect(drawing(applyEntries(shot, [first, second, back, again]), '3')?.role).toBe('key');
  });
  test('levels are kept apart, and an unknown drawing changes nothing', () => {
    const elsewhere = entry({ kind: 'role', level: 'tones', drawing: '3', role: 'key' }, 1);
    expect(applyEntries(shot, [elsewhere, role('99', 'key', 2)])).toEqual(shot);
  });
  test('the shot given is left as it was', () => {
    const before = structuredClone(shot);
    applyEntries(shot, [role('3', 'key', 1), expose('3', [[1, 6]], 2)]);
    expect(shot).toEqual(before);
  });
});

describe('exposures', () => {
  test('what somebody set takes frames from what nobody set, and the sheet is no guess any more', () => {
    const result = applyEntries(shot, [expose('3', [[2, 2]], 1)]);
    expect(sheet(result)).toEqual([
      ['1', 1, 1],
      ['3', 2, 2],
      ['5', 5, 2],
    ]);
    expect(result.levels[0]).not.toHaveProperty('exposuresGuessed');
  });
  test('of two that claim a frame the later entry has it, and splits the longer hold', () => {
    const hold = expose('1', [[1, 6]], 1);
    const cut = expose('5', [[3, 2]], 2);
    expect(sheet(applyEntries(shot, [cut, hold, expose('3', [], 3)]))).toEqual([
      ['1', 1, 2],
      ['5', 3, 2],
      ['1', 5, 2],
    ]);
  });
  test('an empty list takes the drawing off the sheet', () => {
    expect(sheet(applyEntries(shot, [expose('3', [], 1)]))).toEqual([
      ['1', 1, 2],
      ['5', 5, 2],
    ]);
  });
  test('a hold of a milliard frames costs no more than one of two', () => {
    expect(sheet(applyEntries(shot, [expose('3', [[1, 1e9]], 1)]))).toEqual([['3', 1, 1e9]]);
  });

  const claims = fc.array(
    fc.record({
      drawing: fc.constantFrom('1', '3', '5'),
      at: fc.integer({ min: 1, max: 6 }),
      exposures: fc.array(fc.tuple(fc.integer({ min: 1, max: 30 }), fc.integer({ min: 1, max: 9 })), {
        maxLength: 4,
      }),
    }),
    { maxLength: 12 },
  );
  test('whatever is claimed: ascending, not overlapping, no frame invented, order of arrival no matter', () => {
    fc.assert(
      fc.property(claims, fc.infiniteStream(fc.nat()), (given, keys) => {
        const entries: Entry[] = given.map((c) => expose(c.drawing, c.exposures, c.at));
        const result = applyEntries(shot, entries);
        const laid = result.levels[0]?.exposures ?? [];
        for (const [index, exposure] of laid.entries()) {
          expect(exposure.length).toBeGreaterThan(0);
          const before = laid[index - 1];
          if (before) expect(exposure.frame).toBeGreaterThanOrEqual(before.frame + before.length);
        }
        // Independent reading, frame by frame: the strongest claim that covers a frame has it.
        const earliestFirst = entries.toSorted(
          (a, b) => a.stamp.wallMs - b.stamp.wallMs || (a.id < b.id ? -1 : 1),
        );
        const last = new Map(earliestFirst.map((e) => ['drawing' in e.body ? e.body.drawing : '', e]));
        const winners = [...last.values()];
        for (let frame = 1; frame <= 40; frame++) {
          const covers = (e: { frame: number; length: number }) =>
            e.frame <= frame && frame < e.frame + e.length;
          const claimants = winners
            .filter((w) => w.body.kind === 'exposure' && w.body.exposures.some(covers))
            .sort((a, b) => a.stamp.wallMs - b.stamp.wallMs || (a.id < b.id ? -1 : 1));
          const spoken = new Set(last.keys());
          const base = shot.levels[0]?.exposures.find((e) => covers(e) && !spoken.has(e.drawing));
          const claim = claimants.at(-1)?.body;
          const expected = claim?.kind === 'exposure' ? claim.drawing : base?.drawing;
          expect(laid.find(covers)?.drawing, `frame ${frame}`).toBe(expected);
        }
        const shuffled = entries
          .map((e) => ({ e, key: keys.next().value as number }))
          .sort((a, b) => a.key - b.key)
          .map(({ e }) => e);
        expect(applyEntries(shot, [...shuffled, ...entries])).toEqual(result);
      }),
      { numRuns: 500 },
    );
  });
});
