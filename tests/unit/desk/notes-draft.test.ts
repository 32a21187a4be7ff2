import { expect, it } from 'vitest';
import {
  bodyOf,
  type Draft,
  draftOf,
  redoStep,
  rubbed,
  runOf,
  strokesOf,
  undoStep,
  withStroke,
} from '../../../src/desk/notes/draft.ts';
import type { Entry, Stroke } from '../../../src/note/entry.ts';
import { mergeNotes } from '../../../src/note/merge.ts';

const empty: Draft = {
  id: 'd1',
  level: 'figure',
  drawing: '4A',
  drawings: ['4A'],
  image: 'a'.repeat(64),
  sizePx: [1920, 1080],
  base: [],
  steps: [],
  undone: [],
  about: 'line',
  text: '',
};
/** Along y = 100 from x = 0, a point every 10 px. */
const line = (toX: number, y = 100): Stroke => ({
  colour: 'red',
  widthPx: 2,
  points: Array.from({ length: toX / 10 + 1 }, (_, n) => [n * 10, y, 0.5]).flat(),
});
const drawn = (draft: Draft, ...strokes: Stroke[]): Draft =>
  strokes.reduce((now, stroke) => withStroke(now, stroke) as Draft, draft);

it('is pinned where its first stroke began', () => {
  expect(drawn(empty, line(50, 70), line(50)).at).toEqual([0, 70]);
});

it('undoes and redoes stroke by stroke; a new stroke ends redoing', () => {
  const two = drawn(empty, line(50), line(90));
  const one = undoStep(two);
  expect(strokesOf(one)).toEqual([line(50)]);
  expect(strokesOf(redoStep(one))).toEqual(strokesOf(two));
  expect(redoStep(drawn(one, line(20))).steps).toHaveLength(2);
  expect(undoStep(undoStep(one))).toEqual(undoStep(one));
});

it('a rubber across a stroke leaves its two ends, and one undo brings it back whole', () => {
  const whole = drawn(empty, line(200), line(40, 500));
  // Down at x = 100, reaching 15 px plus half the line's width: the points 90, 100 and 110 go.
  const left = rubbed(whole, [100, 80, 0.5, 100, 120, 0.5], 15);
  const ends = strokesOf(left).filter(({ points }) => points[1] === 100);
  expect(ends.map(({ points }) => [points[0], points.at(-3)])).toEqual([
    [0, 80],
    [120, 200],
  ]);
  expect(strokesOf(left)).toHaveLength(3);
  expect(strokesOf(undoStep(left))).toEqual(strokesOf(whole));
});

it('a rubber that touches nothing is no step', () => {
  const whole = drawn(empty, line(200));
  expect(rubbed(whole, [100, 300, 0.5], 20)).toBe(whole);
});

it('holds as many strokes as an entry may', () => {
  const full = { ...empty, base: Array.from({ length: 500 }, () => line(10)) };
  expect(withStroke(full, line(10))).toBeUndefined();
});

it('a run holds the drawing itself, whichever end is named first', () => {
  const order = ['1', '2', '3', '4A', '5'];
  expect(runOf(order, '4A', '4A', '2')).toEqual(['2', '3', '4A']);
  expect(runOf(order, '4A', '1', '2')).toContain('4A');
  expect(runOf(order, '4A', '9', '2')).toEqual(['4A']);
});

const cleanNow = (label: string): string | undefined => (label === '9' ? undefined : `clean ${label}`);

it('writes down the picture of each drawing it holds for, once, as it is when it comes to hold for it', () => {
  const body = bodyOf({ ...empty, drawings: ['3', '4A', '9'] }, undefined, cleanNow);
  if (body?.kind !== 'pin') throw new Error('no pin');
  expect(body.on).toEqual({ 3: 'clean 3' });
  const writer = { id: 'p1', name: 'Ines', role: 'director' } as const;
  const pin = { v: 1 as const, id: 'd1', shot: 's', writer, stamp: { wallMs: 1, counter: 0 }, body };
  const [note] = mergeNotes([pin]).notes;
  if (!note) throw new Error('no note');
  const later = (label: string): string => `clean ${label}, later`;
  const edit = bodyOf({ ...draftOf(note, 'd2'), drawings: ['3', '4A', '5'] }, note, later);
  expect(edit).toEqual({ kind: 'edit', to: 'd1', drawings: ['3', '4A', '5'], on: { 5: 'clean 5, later' } });
  if (!edit) throw new Error('no edit');
  const [changed] = mergeNotes([
    { ...pin, id: 'd2', stamp: { wallMs: 2, counter: 0 }, body: { ...edit, on: { 3: 'x', 5: 'y' } } },
    pin,
  ] as Entry[]).notes;
  expect(Object.fromEntries(changed?.on ?? [])).toEqual({ '4A': empty.image, 3: 'clean 3', 5: 'y' });
});

it('becomes a pin; a changed note says only what changed', () => {
  const draft = { ...drawn(empty, line(50)), text: 'thinner' };
  const body = bodyOf(draft, undefined, cleanNow);
  expect(body).toMatchObject({ kind: 'pin', drawing: '4A', drawings: ['4A'], at: [0, 100], text: 'thinner' });
  if (body?.kind !== 'pin') throw new Error('no pin');
  const writer = { id: 'p1', name: 'Ines', role: 'director' } as const;
  const stamp = { wallMs: 1, counter: 0 };
  const [note] = mergeNotes([{ v: 1, id: 'd1', shot: 's', writer, stamp, body }]).notes;
  if (!note) throw new Error('no note');
  const again = draftOf(note, 'd2');
  expect(bodyOf(again, note, cleanNow)).toBeUndefined();
  expect(bodyOf({ ...again, text: 'bolder' }, note, cleanNow)).toEqual({
    kind: 'edit',
    to: 'd1',
    text: 'bolder',
  });
  expect(bodyOf(drawn(again, line(20)), note, cleanNow)).toEqual({
    kind: 'edit',
    to: 'd1',
    strokes: [line(50), line(20)],
  });
});
