import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Entry } from '../../../src/note/entry.ts';
import { type FixFinding, fixList } from '../../../src/note/fix-list.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import type { Drawing, Shot } from '../../../src/shot/model.ts';

const director = { id: 'p1', name: 'Ines', role: 'director' } as const;

function image(name: string): Drawing['takes'][number]['image'] {
  return { sha256: name, width: 1920, height: 1080, mediaType: 'image/png', byteLength: 9 };
}

function drawing(label: string, more: Partial<Drawing> = {}): Drawing {
  return { label, takes: [{ number: 1, image: image(`take-${label}`) }], ...more };
}

const between = (from: string, to: string, fraction = 0.5) => ({ from, to, fraction });

const shot: Shot = {
  id: 's',
  title: 'The ferry bell',
  fps: 24,
  sizePx: [1920, 1080],
  levels: [
    {
      name: 'figure',
      drawings: [
        drawing('1', { role: 'key' }),
        drawing('3', { role: 'inbetween', chart: between('1', '5') }),
        drawing('5', { role: 'breakdown', chart: between('1', '9') }),
        drawing('7', { role: 'inbetween', chart: between('5', '9', 1 / 3) }),
        drawing('9', { role: 'key' }),
      ],
      exposures: [
        { drawing: '1', frame: 1, length: 2 },
        { drawing: '3', frame: 3, length: 2 },
        { drawing: '5', frame: 5, length: 2 },
        { drawing: '7', frame: 7, length: 2 },
        { drawing: '9', frame: 9, length: 16 },
        { drawing: '7', frame: 25, length: 2 },
      ],
    },
  ],
};

let count = 0;
function pin(
  label: string,
  at: [number, number],
  more: Partial<Extract<Entry['body'], { kind: 'pin' }>> = {},
) {
  return entry({
    kind: 'pin',
    level: 'figure',
    drawing: label,
    drawings: [label],
    image: `take-${label}`,
    sizePx: [1920, 1080],
    at,
    strokes: [],
    about: 'line',
    text: `mend ${label}`,
    ...more,
  });
}

function entry(body: Entry['body']): Entry {
  count++;
  return {
    v: 1,
    id: `e${count}`,
    shot: 's',
    writer: director,
    stamp: { wallMs: 1000 + count, counter: 0 },
    body,
  };
}

const finding = (drawing: string, more: Partial<FixFinding> = {}): FixFinding => ({
  check: 'weight',
  level: 'figure',
  drawing,
  bbox: [100, 100, 40, 40],
  message: 'line 18 % heavier than the keys',
  key: `weight/${drawing}`,
  lineDigest: 'd1',
  ...more,
});

describe('order', () => {
  test('keys, breakdowns, in-betweens after their neighbours; on the paper from the top left', () => {
    const entries = [
      pin('3', [10, 10]),
      pin('7', [10, 10]),
      pin('9', [1800, 1000]),
      pin('9', [1800, 10]),
      pin('9', [100, 12]),
      pin('5', [10, 10]),
      pin('1', [900, 500]),
    ];
    const rows = fixList(shot, mergeNotes(entries));
    expect(rows.map((row) => [row.drawing, row.box[0], row.box[1]])).toEqual([
      ['1', 900, 500],
      ['9', 100, 12],
      ['9', 1800, 10],
      ['9', 1800, 1000],
      ['5', 10, 10],
      ['3', 10, 10],
      ['7', 10, 10],
    ]);
  });

  test('every permutation of entries gives the same list', () => {
    const base = [pin('3', [1, 1]), pin('9', [5, 5]), pin('9', [5, 5]), pin('5', [7, 9])];
    const all = [
      ...base,
      entry({ kind: 'reply', to: base[0]?.id ?? '', text: 'which one?' }),
      entry({ kind: 'state', to: base[1]?.id ?? '', state: 'fixed' }),
      entry({ kind: 'withdraw', to: base[2]?.id ?? '' }),
    ];
    const expected = fixList(shot, mergeNotes(all), [finding('7'), finding('1')]);
    expect(expected.length).toBe(5);
    fc.assert(
      fc.property(fc.shuffledSubarray(all, { minLength: all.length }), (shuffled) => {
        expect(fixList(shot, mergeNotes(shuffled), [finding('1'), finding('7')])).toEqual(expected);
      }),
      { seed: 20261125, numRuns: 200 },
    );
  });

  test('a drawing never stands before one that it hangs on, whatever charts and roles say', () => {
    const labels = ['1', '2', '3', '4', '5', '6', '7'];
    const role = fc.constantFrom('key', 'breakdown', 'inbetween', undefined);
    const anyShot = fc
      .tuple(
        ...labels.map((_, i) => fc.tuple(role, fc.nat({ max: 99 }), fc.nat({ max: 99 }), fc.constant(i))),
      )
      .map((specs): Shot => {
        // Charts point only to labels earlier in a fixed shuffle, so that they hold no circle.
        const order = ['4', '1', '7', '2', '6', '3', '5'];
        const drawings = specs.map(([said, a, b, i]): Drawing => {
          const label = labels[i] ?? '';
          const before = order.slice(0, order.indexOf(label));
          const from = before[a % Math.max(1, before.length)];
          const to = before[b % Math.max(1, before.length)];
          const chart = from && to && from !== to ? between(from, to) : undefined;
          return drawing(label, { role: said, chart });
        });
        return { ...shot, levels: [{ name: 'figure', drawings, exposures: [] }] };
      });
    fc.assert(
      fc.property(anyShot, (any) => {
        const rows = fixList(any, mergeNotes(labels.map((label) => pin(label, [1, 1]))));
        const at = new Map(rows.map((row, index) => [row.drawing, index]));
        for (const { label, chart } of any.levels[0]?.drawings ?? [])
          for (const end of chart ? [chart.from, chart.to] : [])
            expect(at.get(end), `${label} hangs on ${end}`).toBeLessThan(at.get(label) ?? -1);
      }),
      { seed: 7, numRuns: 300 },
    );
  });
});

describe('a row', () => {
  test('says the frames it is exposed at as number, feet and frames, and timecode', () => {
    const [row] = fixList(shot, mergeNotes([pin('7', [1, 1])]));
    // 16 frames a foot (35 mm handbook); SMPTE ST 12-1 counts from zero: frame 25 is one second in.
    expect(row?.exposedAt).toEqual([
      { frame: 7, feet: '0+07', timecode: '00:00:00:06', length: 2 },
      { frame: 25, feet: '1+09', timecode: '00:00:01:00', length: 2 },
    ]);
  });

  test('names the drawings that hang on it, and what it may settle', () => {
    const key = pin('9', [960, 540], { about: 'volume' });
    const same = pin('7', [5, 5], { about: 'volume' });
    const near = pin('5', [970, 560], { about: 'line' });
    const other = pin('5', [5, 5], { about: 'line' });
    const apart = pin('1', [960, 540], { about: 'volume' });
    const done = pin('7', [960, 540], { about: 'volume' });
    const fixed = entry({ kind: 'state', to: done.id, state: 'fixed' });
    const rows = fixList(shot, mergeNotes([key, same, near, other, apart, done, fixed]));
    const row = rows.find(({ id }) => id === key.id);
    expect(row?.knockOn).toEqual(['3', '5', '7']);
    expect([...(row?.maySettle ?? [])].sort()).toEqual([same.id, near.id].sort());
  });

  test('is boxed by its strokes, and knows the take it was made on', () => {
    const stroke = { colour: 'red' as const, widthPx: 4, points: [10, 20, 0.5, 70, 50, 1, 30, 15, 0.2] };
    const [row] = fixList(shot, mergeNotes([pin('1', [0, 0], { strokes: [stroke] })]));
    expect(row).toMatchObject({ box: [10, 15, 60, 35], take: 1 });
    const [old] = fixList(shot, mergeNotes([pin('1', [0, 0], { image: 'gone' })]));
    expect(old?.take).toBeUndefined();
  });

  test('for a run of drawings stands at the first in working order', () => {
    const [row] = fixList(shot, mergeNotes([pin('3', [1, 1], { drawings: ['3', '7', '9', '5'] })]));
    expect(row).toMatchObject({ drawing: '9', drawings: ['9', '5', '3', '7'], knockOn: [] });
  });

  test('on a drawing the shot has not stands last, and is there', () => {
    const rows = fixList(shot, mergeNotes([pin('99', [1, 1]), pin('7', [1, 1])]));
    expect(rows.map((row) => row.drawing)).toEqual(['7', '99']);
  });
});

describe('findings', () => {
  test('dismissed until the line there changes', () => {
    const dismissed = entry({
      kind: 'dismiss',
      level: 'figure',
      drawing: '1',
      finding: 'weight/1',
      lineDigest: 'd1',
      reason: 'meant so',
    });
    expect(fixList(shot, mergeNotes([dismissed]), [finding('1')])).toEqual([]);
    expect(fixList(shot, mergeNotes([dismissed]), [finding('1', { lineDigest: 'd2' })])).toHaveLength(1);
    expect(fixList(shot, mergeNotes([dismissed]), [finding('3', { key: 'weight/1' })])).toHaveLength(1);
  });

  test('that became a note stand once, as the note', () => {
    const rows = fixList(shot, mergeNotes([pin('1', [1, 1], { finding: 'weight/1' })]), [finding('1')]);
    expect(rows.map((row) => row.source)).toEqual(['note']);
  });
});
