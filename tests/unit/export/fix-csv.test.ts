import Papa from 'papaparse';
import { expect, test } from 'vitest';
import { fixCsv } from '../../../src/export/fix-csv.ts';
import type { FixRow } from '../../../src/note/fix-list.ts';
import { fixRow } from './make.ts';

function readBack(rows: readonly FixRow[]): Record<string, string>[] {
  const text = fixCsv(rows);
  expect(text.startsWith('\uFEFF')).toBe(true);
  // Read back by a general-purpose library (papaparse).
  const { data, errors } = Papa.parse<Record<string, string>>(text.slice(1), {
    header: true,
    newline: '\r\n',
  });
  expect(errors.filter(({ code }) => code !== 'TooFewFields')).toEqual([]);
  return data.filter((record) => Object.keys(record).length > 1);
}

test('texts with commas, quotes and line breaks come back as they were', () => {
  const text = 'the "cuff", left\r\nopens; see 5\nश्री 線 ✎';
  const [record] = readBack([fixRow({ text, replies: [{ who: 'Jo', whenMs: 0, text: 'done, I "think"' }] })]);
  expect(record).toMatchObject({ Nr: '1', Text: text, Replies: 'Jo: done, I "think"' });
});

test('rows are numbered in order, and "may settle" names numbers', () => {
  const records = readBack([
    fixRow({ id: 'a', maySettle: ['c', 'b'], drawings: ['1', '12A'] }),
    fixRow({ id: 'b', number: 2 }),
    fixRow({ id: 'c', number: 3, whenMs: Date.UTC(2026, 10, 25, 9, 5) }),
  ]);
  expect(records.map(({ Nr }) => Nr)).toEqual(['1', '2', '3']);
  expect(records[0]).toMatchObject({ 'May settle': '2 3', 'Holds for': '1 12A' });
  expect(records[2]?.When).toBe('2026-11-25T09:05:00.000Z');
});

// OWASP "CSV Injection": cells that begin with = + - @ tab or carriage return.
test.each(['=1+1', '+1', '-1+1', '@SUM(A1)', '\t=1', '\r=1', ' =1', '＝1'])(
  '%j does not run as a formula',
  (text) => {
    const [record] = readBack([fixRow({ text, who: text })]);
    for (const field of ['Text', 'Who'] as const) expect(record?.[field]).toBe(`'${text}`);
  },
);

test('feet and numbers that look like sums stay as they are', () => {
  const [record] = readBack([
    fixRow({ exposedAt: [{ frame: 24, feet: '1+08', timecode: '00:00:00:23', length: 1 }], text: '3-4 px' }),
  ]);
  expect(record).toMatchObject({ Feet: '1+08', Text: '3-4 px', Frames: '24' });
});

test('a row says what kind it is, all its frames, what was redrawn, and words for a note that is only drawn', () => {
  const exposedAt = [
    { frame: 7, feet: '0+07', timecode: '00:00:00:06', length: 3 },
    { frame: 24, feet: '1+08', timecode: '00:00:00:23', length: 1 },
  ];
  const drawn = fixRow({ text: '', about: 'volume', exposedAt });
  const found = fixRow({ id: 'f', number: 2, source: 'finding' });
  const text = fixCsv([drawn, found], ({ source }) => (source === 'note' ? 'redrawn here' : ''));
  const { data } = Papa.parse<Record<string, string>>(text.slice(1), { header: true, newline: '\r\n' });
  expect(data[0]).toMatchObject({
    Kind: 'note',
    Frames: '7–9 24',
    Feet: '0+07 1+08',
    Text: 'About the volume',
    State: 'open',
    Redrawn: 'redrawn here',
  });
  expect(data[1]).toMatchObject({ Kind: 'finding', State: 'measured', Redrawn: '' });
});
