/** Expected rows are chosen by hand. */
import { describe, expect, test } from 'vitest';
import {
  choicesOf,
  type FixFilter,
  noFilter,
  onlyFindings,
  onlyNotes,
  shownRows,
} from '../../../src/desk/fixes/filter.ts';
import { countWords } from '../../../src/note/fix-list.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { fixRow } from '../export/make.ts';

const shot: Shot = {
  id: 's',
  title: 'The ferry bell',
  fps: 24,
  sizePx: [40, 30],
  levels: ['figure', 'rope'].map((name) => ({
    name,
    drawings: [
      { label: '1', role: 'key', takes: [] },
      { label: '3', takes: [] },
    ],
    exposures: [],
  })),
};

const rows = [
  fixRow({ id: 'a', level: 'figure', drawing: '1', who: 'Ines', about: 'line' }),
  fixRow({ id: 'b', level: 'rope', drawing: '1', who: 'Jo', about: 'volume', state: 'fixed' }),
  fixRow({
    id: 'c',
    level: 'figure',
    drawing: '3',
    who: 'Ines',
    about: 'volume',
    state: 'approved',
    replies: [{ who: 'Jo', whenMs: 1, text: 'done' }],
  }),
  fixRow({ id: 'd', level: 'figure', drawing: '3', source: 'finding', who: '', about: 'leaks' }),
  fixRow({ id: 'e', level: 'rope', drawing: '9', who: 'notes', about: 'other', state: 'reopened' }),
];

const ids = (filter: Partial<FixFilter>): string =>
  shownRows(shot, rows, { ...noFilter, ...filter })
    .map(({ id }) => id)
    .join('');

describe('the list shows', () => {
  test.each<[Partial<FixFilter>, string]>([
    [{}, 'abde'],
    [{ state: 'all' }, 'abcde'],
    [{ state: 'to mend' }, 'ade'],
    [{ state: 'fixed' }, 'b'],
    [{ state: 'approved' }, 'c'],
    [{ state: 'all', who: onlyNotes }, 'abce'],
    [{ state: 'all', who: onlyFindings }, 'd'],
    // One who pinned, one who answered, one whose name is a word of the list.
    [{ state: 'all', who: 'Jo' }, 'bc'],
    [{ state: 'all', who: 'notes' }, 'e'],
    [{ state: 'all', role: 'key' }, 'ab'],
    [{ state: 'all', about: 'volume' }, 'bc'],
    [{ state: 'all', level: 'rope' }, 'be'],
    [{ state: 'all', level: 'rope', role: 'key', about: 'volume' }, 'b'],
  ])('%o as %s', (filter, expected) => expect(ids(filter)).toBe(expected));
});

test('choices name everyone and every matter once; a finding has nobody', () => {
  expect(choicesOf(rows)).toEqual({
    people: ['Ines', 'Jo', 'notes'],
    abouts: ['line', 'volume', 'leaks', 'other'],
  });
});

test('the count in words', () => {
  expect(countWords(rows)).toBe('3 to mend, 1 fixed, 1 approved');
  expect(countWords(rows.filter(({ id }) => id === 'b'))).toBe('Nothing to mend, 1 fixed');
  expect(countWords([])).toBe('Nothing to mend');
  expect(countWords([], true)).toBe('Nothing so far');
});
