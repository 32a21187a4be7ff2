import { expect, test } from 'vitest';
import type { Entry } from '../../../src/note/entry.ts';
import { readNotesJson, writeNotesJson } from '../../../src/note/notes-json.ts';
import { parseEntry } from '../../../src/note/parse.ts';

const entry: Entry = {
  v: 1,
  id: 'a',
  shot: 's',
  writer: { id: 'p', name: 'Ines', role: 'director' },
  stamp: { wallMs: 1, counter: 0 },
  body: { kind: 'reply', to: 'x', text: 'done' },
};

test('what was written is read back, each entry once; entries of a later version word for word', () => {
  const later = { ...entry, id: 'b', v: 2, body: { kind: 'dance', steps: 3 } } as unknown as Entry;
  const text = writeNotesJson([entry, later, entry], { savedAt: 'now' });
  expect(JSON.parse(text)).toMatchObject({ format: 'fairpeg notes', v: 1, savedAt: 'now' });
  expect(readNotesJson(`\uFEFF${text}`)).toEqual({ entries: [entry, later], odd: [] });
});

test('an entry that does not fit is named, the others are taken', () => {
  const text = JSON.stringify({ entries: [{ ...entry, stamp: 3 }, entry, null] });
  const { entries, odd } = readNotesJson(text);
  expect(entries).toEqual([entry]);
  expect(odd).toHaveLength(2);
  expect(odd[0]).toMatch(/^Entry a: stamp /);
  expect(odd[1]).toMatch(/^Entry without id: /);
});

test.each([
  ['', 'it is not JSON'],
  ['7', 'it has no list “entries”'],
  ['{"format": "a cake", "entries": []}', 'it is no file of notes'],
])('%j is none', (text, why) => expect(() => readNotesJson(text)).toThrow(why));

test('an entry nested by the thousand is refused alone, before anything copies it', () => {
  const deep = `${'['.repeat(20_000)}${']'.repeat(20_000)}`;
  const text = JSON.stringify({ ...entry, id: 'deep' });
  const value: unknown = JSON.parse(text.replace(/}$/, `,"more":${deep}}`));
  expect(parseEntry(value)).toEqual({ ok: false, id: 'deep', reason: 'it is nested more than 100 deep' });
  expect(parseEntry(entry).ok).toBe(true);
});
