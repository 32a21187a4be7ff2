// Expected values: short histories read by hand; the rest are invariants of a grow-only set (Shapiro et al. 2011).
import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { applyEntries } from '../../../src/note/apply.ts';
import { firstStamp, latestStamp, receive, tick } from '../../../src/note/clock.ts';
import type { Body, Entry, Person } from '../../../src/note/entry.ts';
import { may } from '../../../src/note/may.ts';
import { dismissalKey, mergeNotes } from '../../../src/note/merge.ts';
import { parseEntry } from '../../../src/note/parse.ts';
import { union } from '../../../src/note/union.ts';
import { drawingKey } from '../../../src/shot/drawing-ref.ts';
import { ana, dov, entry, ines, pinBody, shot } from './make.ts';

const pin = entry(pinBody(), 10, dov, 'pin');
const only = (entries: Entry[]) => mergeNotes(entries).notes[0];

describe('a note', () => {
  test('opens, is fixed, reopened, approved: the last to say so is right', () => {
    const say = (state: 'fixed' | 'reopened' | 'approved', at: number) =>
      entry({ kind: 'state', to: 'pin', state }, at);
    const story = [say('fixed', 11), say('reopened', 12), say('approved', 14)];
    expect(only([pin])?.state).toBe('open');
    expect(only([pin, ...story])?.state).toBe('approved');
    expect(only([story[2], story[0], pin, story[1]] as Entry[])?.state).toBe('approved');
    expect(only([pin, ...story])?.history).toHaveLength(4);
  });
  test('edits of different fields both hold; of one field the last', () => {
    const words = entry({ kind: 'edit', to: 'pin', text: 'Swells on the left.' }, 11);
    const other = entry({ kind: 'edit', to: 'pin', text: 'Swells.' }, 13);
    const about = entry({ kind: 'edit', to: 'pin', about: 'line' }, 12);
    expect(only([about, other, pin, words])).toMatchObject({ text: 'Swells.', about: 'line', edited: true });
    expect(only([pin])).toMatchObject({ text: 'The cheek swells here.', about: 'volume', edited: false });
  });
  test('an edit can empty the text', () => {
    expect(only([pin, entry({ kind: 'edit', to: 'pin', text: '' }, 11)])?.text).toBe('');
  });
  test('replies stand in order of time, and can be edited', () => {
    const late = entry({ kind: 'reply', to: 'pin', text: 'Done.' }, 30, ana, 'late');
    const early = entry({ kind: 'reply', to: 'pin', text: 'Which side?' }, 20, ana);
    const edit = entry({ kind: 'edit', to: 'late', text: 'Done, take 3.' }, 31, ana);
    expect(only([late, edit, pin, early])?.replies.map((r) => r.text)).toEqual([
      'Which side?',
      'Done, take 3.',
    ]);
    expect(only([late, edit, pin])?.text).toBe('The cheek swells here.');
  });
  test('is withdrawn, never erased; a withdrawn state gives the one before', () => {
    const fixed = entry({ kind: 'state', to: 'pin', state: 'fixed' }, 11, ana, 'fixed');
    const slip = entry({ kind: 'withdraw', to: 'fixed' }, 12, ana);
    const gone = entry({ kind: 'withdraw', to: 'pin' }, 13);
    expect(only([pin, fixed, slip])).toMatchObject({ state: 'open', withdrawn: false });
    expect(only([pin, gone])).toMatchObject({ withdrawn: true, text: 'The cheek swells here.' });
  });
  test('waits for what it speaks of, then joins it', () => {
    const reply = entry({ kind: 'reply', to: 'pin', text: 'Which side?' }, 20);
    expect(mergeNotes([reply])).toMatchObject({ notes: [], waiting: [reply] });
    expect(mergeNotes([reply, pin])).toMatchObject({ waiting: [] });
    expect(only([reply, pin])?.replies).toHaveLength(1);
  });
  test('an answer stamped before its question is still its answer', () => {
    const reply = entry({ kind: 'reply', to: 'pin', text: 'Seen.' }, 1, ana);
    expect(only([pin, reply])?.replies).toHaveLength(1);
  });
  test('a circle of withdrawals harms nothing', () => {
    const one = entry({ kind: 'withdraw', to: 'two' }, 1, dov, 'one');
    const two = entry({ kind: 'withdraw', to: 'one' }, 2, dov, 'two');
    expect(mergeNotes([one, two, pin]).notes).toHaveLength(1);
    expect(mergeNotes([one, two, pin]).waiting).toHaveLength(2);
  });
});

test('drawing states by the last writer; a withdrawn one gives the one before', () => {
  const clean = entry({ kind: 'drawing state', level: '', drawing: '3', state: 'clean' }, 1);
  const approved = entry({ kind: 'drawing state', level: '', drawing: '3', state: 'approved' }, 2, dov, 'ok');
  const slip = entry({ kind: 'withdraw', to: 'ok' }, 3);
  const state = (entries: Entry[]) =>
    mergeNotes(entries).drawingStates.get(drawingKey({ level: '', drawing: '3' }))?.state;
  expect(state([approved, clean])).toBe('approved');
  expect(state([approved, clean, slip])).toBe('clean');
});

test('a finding is dismissed with the line it was seen on, and the dismissal taken back', () => {
  const body = {
    kind: 'dismiss',
    level: '',
    drawing: '3',
    finding: 'leak:4',
    lineDigest: 'd1',
    reason: 'meant',
  } as const;
  const dismissed = entry(body, 1);
  const back = entry({ ...body, undone: true }, 2);
  const key = dismissalKey({ level: '', drawing: '3' }, 'leak:4');
  expect(mergeNotes([dismissed]).dismissals.get(key)).toMatchObject({ lineDigest: 'd1', reason: 'meant' });
  expect(mergeNotes([back, dismissed]).dismissals.has(key)).toBe(false);
});

describe('entries of a later version', () => {
  const later = {
    ...pin,
    v: 2,
    id: 'later',
    body: { kind: 'hum', tune: [1, 2, { deep: true }] },
    extra: 'kept',
  };
  test('are kept word for word', () => {
    const parsed = parseEntry(JSON.parse(JSON.stringify(later)));
    expect(parsed).toEqual({ ok: true, entry: later });
  });
  test('of a known kind but a later version too, and no merge reads them', () => {
    const strange = { ...pin, v: 2, id: 'strange', body: { kind: 'role', level: 3 } } as unknown as Entry;
    expect(parseEntry(strange)).toEqual({ ok: true, entry: strange });
    expect(mergeNotes([strange, pin])).toMatchObject({ unknown: [strange], waiting: [] });
    expect(applyEntries(shot, [strange])).toEqual(shot);
  });
});

describe('parseEntry refuses, and names the field', () => {
  test.each<[string, unknown, RegExp]>([
    ['nothing', null, /the entry/],
    ['a stroke of text', { ...pin, body: pinBody({ strokes: 'scribble' as never }) }, /body\.strokes/],
    [
      'a half-finished point',
      { ...pin, body: pinBody({ strokes: [{ colour: 'red', widthPx: 6, points: [1, 2] }] }) },
      /strokes\.0\.points/,
    ],
    ['a place that is no number', { ...pin, body: pinBody({ at: [Number.NaN, 0] }) }, /body\.at\.0/],
    ['a negative stamp', { ...pin, stamp: { wallMs: -1, counter: 0 } }, /stamp\.wallMs/],
    [
      'a fraction outside the chart',
      {
        ...pin,
        body: { kind: 'chart', level: '', drawing: '3', chart: { from: '1', to: '5', fraction: 1 } },
      },
      /chart\.fraction/,
    ],
    [
      'a part of a chart without a place',
      {
        ...pin,
        body: {
          kind: 'chart',
          level: '',
          drawing: '3',
          chart: {
            from: '1',
            to: '5',
            fraction: 0.5,
            parts: [{ place: {}, words: 'sleeve', fraction: 0.3 }],
          },
        },
      },
      /^body\.chart\.parts\.0\.place does not fit: it has neither a box nor an outline, but must have one$/,
    ],
    ['a role nobody has', { ...pin, writer: { ...dov, role: 'king' } }, /writer\.role/],
    ['an id of 101 letters', { ...pin, id: 'x'.repeat(101) }, /^id /],
  ])('%s', (_, value, reason) => {
    const parsed = parseEntry(value);
    expect(parsed.ok).toBe(false);
    expect(!parsed.ok && parsed.reason).toMatch(reason);
  });
});

describe('rights, as the design gives them', () => {
  const find = (id: string) => (id === 'pin' ? pin : undefined);
  const state = (value: 'fixed' | 'approved' | 'open' | 'reopened'): Body => ({
    kind: 'state',
    to: 'pin',
    state: value,
  });
  const paper: Body[] = [
    { kind: 'role', level: '', drawing: '3', role: 'key' },
    { kind: 'chart', level: '', drawing: '3', chart: null },
    { kind: 'drawing', level: '', drawing: '3', runsOn: true },
    { kind: 'exposure', level: '', drawing: '3', exposures: [] },
  ];
  const everyone: [Person, Body[], Body[]][] = [
    [
      ana,
      [pinBody(), { kind: 'reply', to: 'pin', text: '' }, state('fixed')],
      [
        state('approved'),
        state('reopened'),
        state('open'),
        { kind: 'withdraw', to: 'pin' },
        { kind: 'edit', to: 'pin', text: '' },
        ...paper,
      ],
    ],
    [
      ines,
      [pinBody(), { kind: 'reply', to: 'pin', text: '' }, ...paper],
      [state('fixed'), state('approved'), { kind: 'withdraw', to: 'pin' }],
    ],
    [
      dov,
      [
        pinBody(),
        state('approved'),
        state('reopened'),
        state('open'),
        { kind: 'withdraw', to: 'pin' },
        ...paper,
      ],
      [],
    ],
  ];
  test.each(everyone)('$role', (person, allowed, refused) => {
    for (const body of allowed) expect(may(person, body, find), JSON.stringify(body)).toEqual({ may: true });
    for (const body of refused)
      expect(may(person, body, find), JSON.stringify(body)).toMatchObject({ may: false });
  });
  test('what is one’s own may be changed and withdrawn; what has not arrived is asked again later', () => {
    const own = entry(pinBody(), 1, ana, 'own');
    expect(may(ana, { kind: 'withdraw', to: 'own' }, () => own)).toEqual({ may: true });
    expect(may(ana, { kind: 'edit', to: 'own', text: 'x' }, () => undefined)).toMatchObject({
      code: 'early',
    });
  });
});

/**
 * Random histories: a few tablets with clocks wrong by days write, and hear from each other now and then.
 * Nothing is asserted about who wins here, only that everyone agrees and nothing is lost.
 */
const tabletCount = 3;
const dayMs = 86_400_000;
const step = fc.record({
  tablet: fc.nat({ max: tabletCount - 1 }),
  what: fc.constantFrom(
    'pin',
    'reply',
    'edit',
    'state',
    'withdraw',
    'role',
    'exposure',
    'drawing state',
    'dismiss',
    'plan',
    'later',
  ),
  pick: fc.nat({ max: 50 }),
  hearFrom: fc.option(fc.nat({ max: tabletCount - 1 })),
});
const history = fc.record({
  skewsMs: fc.tuple(
    ...Array.from({ length: tabletCount }, () => fc.integer({ min: -9 * dayMs, max: 9 * dayMs })),
  ),
  steps: fc.array(step, { minLength: 1, maxLength: 40 }),
});
type History = typeof history extends fc.Arbitrary<infer T> ? T : never;

function play({ skewsMs, steps }: History): Entry[][] {
  const tablets = skewsMs.map((skewMs) => ({
    skewMs,
    set: [] as Entry[],
    clock: firstStamp,
  }));
  for (const [n, { tablet: at, what, pick, hearFrom }] of steps.entries()) {
    const tablet = tablets[at] as (typeof tablets)[number];
    const wallMs = 1_700_000_000_000 + n * 1000 + tablet.skewMs;
    if (hearFrom !== null) {
      const other = tablets[hearFrom]?.set ?? [];
      tablet.set = union(tablet.set, other);
      tablet.clock = receive(tablet.clock, latestStamp(other.map((e) => e.stamp)), wallMs);
    }
    tablet.clock = tick(tablet.clock, wallMs);
    const to = tablet.set[pick % Math.max(1, tablet.set.length)]?.id ?? 'nobody';
    const drawing = ['1', '3', '5'][pick % 3] as string;
    const bodies: Record<string, unknown> = {
      pin: pinBody({ drawing, drawings: [drawing] }),
      reply: { kind: 'reply', to, text: `reply ${n}` },
      edit: { kind: 'edit', to, text: `edit ${n}` },
      state: { kind: 'state', to, state: pick % 2 ? 'fixed' : 'approved' },
      withdraw: { kind: 'withdraw', to },
      role: { kind: 'role', level: '', drawing, role: pick % 2 ? 'key' : null },
      exposure: { kind: 'exposure', level: '', drawing, exposures: [{ frame: 1 + (pick % 5), length: 3 }] },
      'drawing state': { kind: 'drawing state', level: '', drawing, state: pick % 2 ? 'clean' : 'approved' },
      dismiss: {
        kind: 'dismiss',
        level: '',
        drawing,
        finding: 'f',
        lineDigest: `${n}`,
        reason: '',
        undone: pick % 2 === 0,
      },
      plan: { kind: 'plan', due: null, workingDays: [1], people: 1 + pick, drawingsADay: 14 },
      later: { kind: 'hum', n },
    };
    const writer = { id: `p${at}`, name: `P${at}`, role: 'director' } as const;
    tablet.set = [
      ...tablet.set,
      { v: 1, id: `t${at}-${n}`, shot: 'shot-1', writer, stamp: tablet.clock, body: bodies[what] as Body },
    ];
  }
  return tablets.map((tablet) => tablet.set);
}

const stateOf = (entries: readonly Entry[]) => ({
  notes: mergeNotes(entries),
  shot: applyEntries(shot, entries),
});

describe('thousands of random histories', () => {
  test('any order, any repeats and any partition give the same state', () => {
    fc.assert(
      fc.property(
        history,
        fc.array(fc.tuple(fc.nat(), fc.nat({ max: 3 })), { minLength: 40, maxLength: 120 }),
        (given, deal) => {
          const all = union(...play(given));
          const expected = stateOf(all);
          // Dealt in pieces to four hands, with repeats, then joined in another order.
          const hands: Entry[][] = [[], [], [], []];
          for (const [n, item] of all.entries()) hands[(deal[n % deal.length]?.[1] ?? 0) % 4]?.push(item);
          for (const [pick, hand] of deal) hands[hand]?.push(all[pick % all.length] as Entry);
          const shuffled = hands.map((hand, n) =>
            hand.toSorted((a, b) => (`${n}${a.id}` < `${n}${b.id}` ? 1 : -1)),
          );
          expect(stateOf(union(...shuffled))).toEqual(expected);
          expect(stateOf(shuffled.toReversed().flat())).toEqual(expected);
        },
      ),
      { numRuns: 3000 },
    );
  });

  test('nothing is lost or hidden: each entry is in a note’s history, of the shot, in a list, waiting or unknown', () => {
    fc.assert(
      fc.property(history, (given) => {
        const all = union(...play(given));
        const { notes, waiting, unknown } = mergeNotes(all);
        const shown = new Set([
          ...notes.flatMap((note) => note.history.map((e) => e.id)),
          ...waiting.map((e) => e.id),
          ...unknown.map((e) => e.id),
        ]);
        // Withdrawals of things that are no notes, and registers without a note, have their own readers; what the
        // shot is made of is read by `shotOf`.
        const elsewhere = new Set([
          'drawing state',
          'dismiss',
          'plan',
          'withdraw',
          'role',
          'chart',
          'exposure',
        ]);
        expect(all.filter((e) => !shown.has(e.id) && !elsewhere.has(e.body.kind))).toEqual([]);
        expect(notes).toHaveLength(all.filter((e) => e.body.kind === 'pin').length);
      }),
      { numRuns: 2000 },
    );
  });

  test('with clocks wrong by days, who has seen a choice can change it', () => {
    fc.assert(
      fc.property(history, fc.integer({ min: -9 * dayMs, max: 9 * dayMs }), (given, skewMs) => {
        const all = union(...play(given));
        const stamp = receive(
          tick({ wallMs: 0, counter: 0 }, 0),
          latestStamp(all.map((e) => e.stamp)),
          1_700_000_000_000 + skewMs,
        );
        const mine: Entry = {
          ...pin,
          id: 'mine',
          stamp,
          body: { kind: 'role', level: '', drawing: '3', role: 'breakdown' },
        };
        expect(applyEntries(shot, [mine, ...all]).levels[0]?.drawings[1]?.role).toBe('breakdown');
      }),
      { numRuns: 1000 },
    );
  });
});

test('two entries that claim one id are settled alike from both sides', () => {
  const twin = { ...pin, body: pinBody({ text: 'Another.' }) };
  expect(union([pin], [twin])).toEqual(union([twin], [pin]));
});
