// Expected: The Unicode Standard 2.3 (Cc: control characters; Cs: surrogates, no characters by themselves).
import { expect, test } from 'vitest';
import { parseEntry } from '../../../src/note/parse.ts';
import { entry, pinBody } from './make.ts';

test.each([
  ['NUL', 'a\0b'],
  ['a line break', 'a\nb'],
  ['delete', 'a\u007fb'],
  ['a C1 control', 'a\u0085b'],
  ['the first half of a pair', 'a\ud83d'],
  ['the second half of a pair', '\ude00a'],
  ['halves the wrong way round', '\ude00\ud83d'],
])('an id with %s is refused, in every place where an id stands', (_, bad) => {
  const good = entry(pinBody(), 1);
  const later = { ...good, v: 9, body: { kind: 'hum' } };
  for (const whole of [good, later]) {
    expect(parseEntry({ ...whole, id: bad }).ok).toBe(false);
    expect(parseEntry({ ...whole, shot: bad }).ok).toBe(false);
    expect(parseEntry({ ...whole, writer: { ...good.writer, id: bad } }).ok).toBe(false);
  }
  expect(parseEntry(entry({ kind: 'reply', to: bad, text: '' }, 1)).ok).toBe(false);
});
test.each(['1b9d6bcd-bbfd-4b2d-9b5d-ab8dfbbd4bed', 'weight 12A Ä', 'a😀b', 'ザ'])('%s is an id', (good) =>
  expect(parseEntry({ ...entry(pinBody(), 1), id: good }).ok).toBe(true),
);
