import { expect, it } from 'vitest';
import { holdsWords, listed, noFilter, onDrawing, peopleOf } from '../../../src/desk/notes/listing.ts';
import { takeWords } from '../../../src/desk/notes/words.ts';
import type { Body, Entry, Person } from '../../../src/note/entry.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { figure, image } from './a-shot.ts';

const shot: Shot = { id: 's', title: 't', fps: 24, sizePx: [1920, 1080], levels: [figure] };
const mira: Person = { id: 'm', name: 'Mira', role: 'director' };
const jon: Person = { id: 'j', name: 'Jon', role: 'artist' };
let at = 0;
const entry = (id: string, writer: Person, body: Body): Entry => ({
  v: 1,
  id,
  shot: 's',
  writer,
  stamp: { wallMs: ++at, counter: 0 },
  body,
});
const pin = (drawing: string, ...more: string[]): Body => ({
  kind: 'pin',
  level: 'figure',
  drawing,
  drawings: [drawing, ...more],
  image: '',
  sizePx: [1920, 1080],
  at: [1, 2],
  strokes: [],
  about: 'line',
  text: '',
});
// Roles: 1 key, 2 in-between, 4A breakdown, 5 key.
const { notes } = mergeNotes([
  entry('on5', mira, pin('5')),
  entry('on2', mira, pin('2', '3', '4A')),
  entry('on1', jon, pin('1')),
  entry('settled', mira, pin('1')),
  entry('gone', mira, pin('2')),
  entry('s', mira, { kind: 'state', to: 'settled', state: 'approved' }),
  entry('w', mira, { kind: 'withdraw', to: 'gone' }),
  entry('r', jon, { kind: 'reply', to: 'on5', text: 'done' }),
]);
const ids = (change: Partial<typeof noFilter>): string[] =>
  listed(shot, notes, { ...noFilter, ...change }).map(({ id }) => id);

it('lists what is not approved, in the order of the sheet', () => {
  expect(ids({})).toEqual(['on1', 'on2', 'on5']);
});
it('filters by state, withdrawn ones for themselves', () => {
  expect(ids({ state: 'approved' })).toEqual(['settled']);
  expect(ids({ state: 'withdrawn' })).toEqual(['gone']);
  expect(ids({ state: 'all' })).toHaveLength(4);
});
it('filters by person, answers counted, and by the role of any drawing it holds for', () => {
  expect(ids({ person: 'j' })).toEqual(['on1', 'on5']);
  expect(ids({ role: 'breakdown' })).toEqual(['on2']);
  expect(ids({ role: 'key' })).toEqual(['on1', 'on5']);
  expect([...peopleOf(notes).values()].sort()).toEqual(['Jon', 'Mira']);
});
it('lies on each of its drawings and on no other, settled and withdrawn ones on none', () => {
  const on = (label: string): string[] => onDrawing(notes, 'figure', label).map(({ id }) => id);
  expect(on('3')).toEqual(['on2']);
  expect(on('1')).toEqual(['on1']);
  expect(onDrawing(notes, 'hat', '1')).toEqual([]);
});
it('a run is said by its ends', () => {
  const order = ['1', '2', '3', '4A', '5'];
  expect(holdsWords(order, ['2', '3', '4A'])).toBe('2 to 4A');
  expect(holdsWords(order, ['2', '5'])).toBe('2, 5');
});
it('takes no drawing of another level for one whose level is not here', () => {
  // As when a level was renamed, or its drawings have not arrived: the lowest has a drawing 1 too.
  const onCape = { ...pin('1'), level: 'cape', image: image('c1').sha256 } as Body;
  const cape = mergeNotes([entry('cape', mira, onCape), entry('low', mira, pin('2'))]).notes;
  expect(takeWords(shot, { level: 'cape', drawing: '1', image: image('c1').sha256 })).toBe(
    'made on a picture that is not here',
  );
  expect(listed(shot, cape, { ...noFilter, role: 'key' })).toEqual([]);
  // What lies nowhere stands at the end, as in the fix list.
  expect(listed(shot, cape, noFilter).map(({ id }) => id)).toEqual(['low', 'cape']);
});
