import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { packTexts, readPack } from '../../../src/export/pack.ts';
import type { Entry } from '../../../src/note/entry.ts';
import type { Shot } from '../../../src/shot/model.ts';

const image = (sha256: string) => ({ sha256, width: 40, height: 30, mediaType: 'image/png', byteLength: 9 });
const shot: Shot = {
  id: 'ferry',
  title: 'The ferry bell',
  fps: 24,
  sizePx: [40, 30],
  levels: [
    {
      name: 'figure',
      drawings: [
        { label: '1', takes: [1, 2].map((number) => ({ number, image: image(`1-${number}`) })) },
        { label: '3', rough: image('rough-3'), takes: [] },
      ],
      exposures: [{ drawing: '1', frame: 1, length: 2 }],
    },
  ],
};

const entry = (id: string, more: Partial<Entry> = {}): Entry => ({
  v: 1,
  id,
  shot: 'ferry',
  writer: { id: 'p1', name: 'Inès 山田', role: 'director' },
  stamp: { wallMs: 5, counter: 0 },
  body: { kind: 'role', level: 'figure', drawing: '1', role: 'key' },
  ...more,
});

const finding = (drawing: string) => ({
  key: `leaks//figure/${drawing}/3/4`,
  check: 'leaks',
  level: 'figure',
  drawing,
  bbox: [1, 2, 3, 4] as const,
  message: 'a gap of 3 px',
  lineDigest: 'abc',
});

const beside = (texts: ReturnType<typeof packTexts>) =>
  texts.map(({ path, text }) => ({ name: path.slice('fairpeg/'.length), path, text }));

test('a finding at several places keeps them in a pack', () => {
  const spots = [
    [1, 2, 1, 1],
    [3, 5, 1, 1],
  ] as const;
  const found = { ...finding('1'), check: 'specks', spots };
  expect(readPack(shot, beside(packTexts(shot, [], [found]))).findings).toEqual([found]);
});

describe('a pack', () => {
  test('gives back every entry, whatever its text, and the findings of the newest takes', () => {
    fc.assert(
      fc.property(fc.uniqueArray(fc.string({ minLength: 1, maxLength: 20 }), { maxLength: 8 }), (names) => {
        const entries = names.map((name) =>
          entry(name, { body: { kind: 'reply', to: 'x', text: `${name}"\n\u2028` } }),
        );
        const read = readPack(shot, beside(packTexts(shot, entries, [finding('1')])));
        expect(read).toEqual({ entries, findings: [finding('1')], odd: [], broken: false });
      }),
      { seed: 5 },
    );
  });

  test('findings of a take that is no longer the newest, or of a drawing without a take, stay out', () => {
    const texts = packTexts(shot, [], [finding('1'), finding('3')]);
    const [level] = shot.levels;
    const retaken: Shot = {
      ...shot,
      levels: [{ ...level!, drawings: [{ label: '1', takes: [{ number: 3, image: image('1-3') }] }] }],
    };
    expect(readPack(shot, beside(texts)).findings).toEqual([finding('1')]);
    expect(readPack(retaken, beside(texts)).findings).toEqual([]);
  });

  test('entries of another shot are left out in one sentence; a broken one is named; the rest is taken', () => {
    const [entries, findings] = packTexts(
      shot,
      [entry('a'), entry('b', { shot: 'kite' }), entry('c', { shot: 'kite' })],
      [],
    );
    const text = entries!.text.replace(/\n \]\n\}/, ',{"id":"bad"}\n ]\n}');
    const read = readPack(shot, beside([{ ...entries!, text }, findings!]));
    expect(read.entries.map(({ id }) => id)).toEqual(['a']);
    expect(read.broken).toBe(false);
    expect(read.odd).toHaveLength(2);
    expect(read.odd[0]).toMatch(/^fairpeg\/entries\.json: Entry bad: .*left out\.$/);
    expect(read.odd[1]).toBe(
      'fairpeg/entries.json: 2 entries speak of another shot (“kite”) and were left out.',
    );
  });

  test.each([
    ['entries.json', '{"entries": [', 'it is not JSON'],
    ['entries.json', '{"v": 1}', 'it has no list “entries”'],
    ['entries.json', '[]', 'it has no list “entries”'],
    ['findings.json', 'x', 'it is not JSON'],
    ['findings.json', '{"v": 2, "findings": []}', 'it has no list “findings” of format 1'],
  ])('a %s of %j is named, and nothing is taken from it', (name, text, why) => {
    const path = `ferry/fairpeg/${name}`;
    expect(readPack(shot, [{ name, path, text }])).toEqual({
      entries: [],
      findings: [],
      odd: [`${path}: ${why}. Nothing was taken from it; mend it or write the pack again.`],
      broken: true,
    });
  });
});
