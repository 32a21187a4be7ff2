import { readFileSync } from 'node:fs';
import Ajv from 'ajv';
import * as fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { checkShot } from '../../../src/shot/check-shot.ts';
import { readCsv, writeCsv } from '../../../src/shot/csv.ts';
import { readExposureCsv, writeExposureCsv } from '../../../src/shot/exposure-csv.ts';
import { extraOf, readShotJson, writeShotJson } from '../../../src/shot/shot-json.ts';
import { addTake, cleanOf } from '../../../src/shot/takes.ts';
import { drawing, imageRef, level, shotOf } from './make.ts';

describe('csv', () => {
  it('reads the example of RFC 4180, 2.6 as one record of three fields', () => {
    expect(readCsv('"aaa","b \r\nbb","ccc"\r\nzzz,yyy,xxx')).toEqual([
      ['aaa', 'b \r\nbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ]);
    expect(readCsv('"aaa","b""bb","ccc"')).toEqual([['aaa', 'b"bb', 'ccc']]); // RFC 4180, 2.7
  });

  it('reads what papaparse reads, for anything it wrote', () => {
    const cell = fc.string({
      maxLength: 8,
      unit: fc.constantFrom('a', '"', ',', '\r\n', '\n', ';', 'é', ' '),
    });
    const table = fc.array(fc.array(cell, { minLength: 2, maxLength: 4 }), { minLength: 1, maxLength: 5 });
    fc.assert(
      fc.property(table, (rows) => {
        const text = writeCsv(rows);
        expect(Papa.parse(text.replace(/\r\n$/, ''), { delimiter: ',', newline: '\r\n' }).data).toEqual(rows);
        expect(readCsv(text)).toEqual(rows);
      }),
      { seed: 41 },
    );
  });

  it('reads semicolons, a byte order mark and bare line feeds', () => {
    expect(readCsv('\uFEFFdrawing;frame\n12;1\n\n13;3\n')).toEqual([
      ['drawing', 'frame'],
      ['12', '1'],
      ['13', '3'],
    ]);
  });
});

describe('exposure.csv', () => {
  it('comes back from papaparse and from us as it was written', () => {
    const levels = [
      level(
        [],
        [
          { drawing: '1', frame: 1, length: 2 },
          { drawing: '12A', frame: 5, length: 1 },
        ],
        'body, left',
      ),
      level([], [{ drawing: '1', frame: 2, length: 30 }], 'hat'),
    ];
    const text = writeExposureCsv(levels);
    expect(Papa.parse(text, { header: true, skipEmptyLines: true }).data[1]).toEqual({
      level: 'body, left',
      drawing: '12A',
      frame: '5',
      length: '1',
    });
    const read = readExposureCsv(text);
    expect(read.faults).toEqual([]);
    expect([...read.levels]).toEqual(levels.map(({ name, exposures }) => [name, exposures]));
  });

  it('fills open lengths up to the next drawing, and shows nothing for x', () => {
    const { levels } = readExposureCsv('Drawing,Frame\n0001,1\n3,5\nx,9\n5,12\n');
    expect(levels.get('')).toEqual([
      { drawing: '1', frame: 1, length: 4 },
      { drawing: '3', frame: 5, length: 4 },
      { drawing: '5', frame: 12, length: 2 },
    ]);
  });

  it('names record and field of what it cannot read, and takes the rest', () => {
    const { levels, faults } = readExposureCsv(
      'drawing,frame,length\n1,1,2\n2,zero,2\n3,3,-1\n4,5,9\n5,6,1\n6,6,1',
    );
    expect(faults).toEqual([
      'exposure.csv, record 3, frame: “zero” is not a whole number from 1.',
      'exposure.csv, record 4, length: “-1” is not a whole number from 1.',
      'exposure.csv, record 5, length: cut from 9 to 1, where the next drawing starts.',
      'exposure.csv, record 6, frame: another drawing starts at frame 6 too; the later row counts.',
    ]);
    expect(levels.get('')?.map((e) => e.drawing)).toEqual(['1', '4', '6']);
    expect(readExposureCsv('a,b\n1,2').faults).toEqual([
      'exposure.csv has no column named drawing and no column named frame.',
    ]);
  });
});

describe('shot.json', () => {
  const text = `{ "title": "Ferry", "fps": 24, "scene mood": "dusk", "levels": [ { "name": "", "ink": "blue",
    "drawings": [ { "label": "0001", "role": "key", "hours": 3 },
      { "label": "3", "role": "inbetween", "chart": { "from": "1", "to": "5", "fraction": 0.5 } }, { "label": "5" } ],
    "exposures": [ { "drawing": "1", "frame": 1, "length": 2 } ] } ] }`;
  const schema: object = JSON.parse(readFileSync('public/schemas/shot.schema.json', 'utf8'));
  const valid = new Ajv({ strict: false }).compile(schema);

  it('is read, labels tidied, unknown fields kept', () => {
    const result = readShotJson(text);
    if (!result.ok) throw new Error(result.faults.join(' '));
    const [only] = result.file.levels;
    expect(only?.drawings.map(({ label }) => label)).toEqual(['1', '3', '5']);
    expect(extraOf(result.file)).toEqual({ 'scene mood': 'dusk' });
    expect(only && extraOf(only)).toEqual({ ink: 'blue' });
    expect(only?.drawings[0] && extraOf(only.drawings[0])).toEqual({ hours: 3 });
  });

  it.each([
    ['{', /^shot\.json is not JSON: /],
    ['[]', /^shot\.json, the file: /],
    ['{"fps":"24"}', /^shot\.json, fps: is "24", but must be number\.$/],
    [
      '{"levels":[{"drawings":[{"label":"1"},{"role":"key"}]}]}',
      /^shot\.json, levels\[0\]\.drawings\[1\]\.label: is missing\.$/,
    ],
    [
      '{"levels":[{"drawings":[{"label":"1","role":"extreme"}]}]}',
      /levels\[0\]\.drawings\[0\]\.role: is "extreme", but must be one of key, breakdown, inbetween\.$|levels\[0\]\.drawings\[0\]\.role: /,
    ],
    [
      '{"levels":[{"exposures":[{"drawing":"1","frame":1.5,"length":2}]}]}',
      /levels\[0\]\.exposures\[0\]\.frame: is 1\.5, but must be a whole number\.$/,
    ],
  ])('%s is refused, its field named', (json, fault) => {
    const result = readShotJson(json);
    expect(result.ok ? [] : result.faults[0]).toMatch(fault);
  });

  const sleeve = { place: { box: [100, 60, 220, 90], sizePx: [1920, 1080] }, words: 'sleeve', fraction: 0.3 };
  const hem = {
    place: {
      outline: [
        [10.5, 20],
        [90, 25],
        [40, 80],
      ],
    },
    words: 'hem',
    fraction: 0.6,
  };
  const withParts = (parts: unknown, more: object = {}) =>
    JSON.stringify({
      levels: [
        {
          drawings: [
            { label: '3', role: 'inbetween', chart: { from: '1', to: '5', fraction: 0.5, parts }, ...more },
            { label: '1' },
            { label: '5' },
          ],
        },
      ],
    });

  it('keeps the parts of a chart and the mark of what runs on, read and written', () => {
    const read = readShotJson(withParts([sleeve, hem], { runsOn: true }));
    if (!read.ok) throw new Error(read.faults.join(' '));
    const [three] = read.file.levels[0]?.drawings ?? [];
    const shot = shotOf([
      level([{ ...drawing('3', 'inbetween', three?.chart), runsOn: true }, drawing('1'), drawing('5')]),
    ]);
    const written = writeShotJson(shot);
    expect(JSON.parse(written).levels[0].drawings[0]).toEqual({
      label: '3',
      role: 'inbetween',
      chart: { from: '1', to: '5', fraction: 0.5, parts: [sleeve, hem] },
      runsOn: true,
    });
    expect(three && extraOf(three)).toBeUndefined();
    expect(valid(JSON.parse(written)), JSON.stringify(valid.errors)).toBe(true);
    expect(checkShot(shot)).toEqual({ ok: true, shot });
  });

  /** Each wrong field in one sentence; `ajv` where a JSON Schema can say the same. */
  it.each<[string, unknown, string, 'schema' | 'reader alone']>([
    ['no words', [{ ...sleeve, words: undefined }], 'parts[0].words: is missing.', 'schema'],
    [
      'blank words',
      [{ ...sleeve, words: ' ' }],
      'parts[0].words: is empty, but must say what the part is.',
      'schema',
    ],
    [
      'too many words',
      [{ ...sleeve, words: 'x'.repeat(81) }],
      'parts[0].words: has 81 letters, but may have at most 80.',
      'schema',
    ],
    [
      'a line break in the words',
      [{ ...sleeve, words: 'a\nb' }],
      'parts[0].words: has control characters or half characters in it.',
      'reader alone',
    ],
    ['no place', [{ ...sleeve, place: undefined }], 'parts[0].place: is missing.', 'schema'],
    [
      'an empty place',
      [{ ...sleeve, place: {} }],
      'parts[0].place: has neither a box nor an outline, but must have one.',
      'schema',
    ],
    [
      'two places',
      [{ ...sleeve, place: { ...sleeve.place, ...hem.place } }],
      'parts[0].place: has a box and an outline, but must have only one.',
      'schema',
    ],
    [
      'a box turned over',
      [{ ...sleeve, place: { box: [100, 60, -220, 90] } }],
      'parts[0].place.box[2]: is -220, but must be greater than 0.',
      'schema',
    ],
    [
      'a box a mile off',
      [{ ...sleeve, place: { box: [1e9, 60, 220, 90] } }],
      'parts[0].place.box[0]: is 1000000000, but must be at most 100000.',
      'schema',
    ],
    [
      'an outline of two points',
      [{ ...hem, place: { outline: hem.place.outline.slice(1) } }],
      'parts[0].place.outline: has 2 entries, but must have at least 3.',
      'schema',
    ],
    [
      'an outline of a thousand points',
      [{ ...hem, place: { outline: Array.from({ length: 1000 }, (_, n) => [n, (n * n) % 997]) } }],
      'parts[0].place.outline: has 1000 entries, but may have at most 200.',
      'schema',
    ],
    [
      'a fraction at the end',
      [{ ...hem, fraction: 1 }],
      'parts[0].fraction: is 1, but must be less than 1.',
      'schema',
    ],
    [
      'a fraction in words',
      [{ ...hem, fraction: 'half' }],
      'parts[0].fraction: is "half", but must be number.',
      'schema',
    ],
    [
      'one part twice',
      [sleeve, hem, { ...hem, words: ' sleeve' }],
      'parts: says “ sleeve” twice, but each part needs words of its own.',
      'reader alone',
    ],
    [
      'two hundred parts',
      Array.from({ length: 200 }, (_, n) => ({ ...hem, words: `fold ${n}` })),
      'parts: has 200 entries, but may have at most 20.',
      'schema',
    ],
    ['no list', sleeve, 'parts: is Object, but must be Array.', 'schema'],
  ])('with %s is refused in one sentence', (_, parts, sentence, by) => {
    const json = withParts(parts);
    const result = readShotJson(json);
    expect(result.ok ? [] : result.faults).toEqual([`shot.json, levels[0].drawings[0].chart.${sentence}`]);
    expect(valid(JSON.parse(json))).toBe(by === 'reader alone');
  });

  it('is written as it was read, and fits its JSON Schema (checked by ajv)', () => {
    const rough = imageRef(1);
    const one = {
      ...drawing('1', 'key'),
      rough,
      takes: [{ number: 1, image: imageRef(2) }],
      extra: { hours: 3 },
    };
    const shot = shotOf(
      [{ ...level([one], [{ drawing: '1', frame: 1, length: 2 }]), extra: { ink: 'blue' } }],
      { extra: { mood: 'dusk' } },
    );
    const written = writeShotJson(shot, { rough: () => 'rough/1.png', take: () => 'clean/1.png' });
    expect(valid(JSON.parse(written)), JSON.stringify(valid.errors)).toBe(true);
    expect(valid(JSON.parse(text)), JSON.stringify(valid.errors)).toBe(true);
    const back = readShotJson(written);
    expect(back.ok && back.file).toMatchObject({
      id: 'id-1',
      mood: 'dusk',
      levels: [
        {
          ink: 'blue',
          drawings: [
            {
              label: '1',
              role: 'key',
              hours: 3,
              rough: 'rough/1.png',
              takes: [{ number: 1, file: 'clean/1.png' }],
            },
          ],
        },
      ],
    });
  });

  it('refuses by schema what the reader refuses', () => {
    for (const bad of [
      '{"fps":"24"}',
      '{"levels":[{"drawings":[{"role":"key"}]}]}',
      '{"levels":[{"exposures":[{"drawing":"1","frame":0,"length":2}]}]}',
    ]) {
      expect(readShotJson(bad).ok).toBe(false);
      expect(valid(JSON.parse(bad))).toBe(false);
    }
  });

  it('leaves guesses out', () => {
    const shot = shotOf(
      [{ ...level([drawing('1')], [{ drawing: '1', frame: 1, length: 2 }]), exposuresGuessed: true }],
      { fpsGuessed: true },
    );
    expect(writeShotJson(shot)).not.toMatch(/fps|exposures/);
  });
});

describe('takes', () => {
  it('are added at the end, and equal bytes add nothing', () => {
    const once = addTake(drawing('1'), imageRef(1));
    const twice = addTake(once, imageRef(2));
    expect(twice.takes.map(({ number }) => number)).toEqual([1, 2]);
    expect(cleanOf(twice)).toEqual(imageRef(2));
    expect(addTake(twice, imageRef(1))).toBe(twice);
  });
});

describe('a shot of unknown origin', () => {
  const good = shotOf([level([drawing('1', 'key'), drawing('2')], [{ drawing: '1', frame: 1, length: 2 }])]);

  it('is taken when it is one', () => {
    expect(checkShot(JSON.parse(JSON.stringify(good)))).toEqual({ ok: true, shot: good });
  });

  it.each<[unknown, string]>([
    [{ ...good, fps: 'fast' }, 'Shot, fps: is "fast", but must be number.'],
    [{ ...good, levels: [...good.levels, ...good.levels] }, 'Two levels are called “”.'],
    [shotOf([level([drawing('1'), drawing('1')])]), 'two drawings are labelled 1.'],
    [
      shotOf([level([], [{ drawing: '4', frame: 3, length: 1 }])]),
      'frame 3 exposes drawing 4, which is not there.',
    ],
    [
      shotOf([
        level(
          [drawing('1')],
          [
            { drawing: '1', frame: 1, length: 5 },
            { drawing: '1', frame: 3, length: 1 },
          ],
        ),
      ]),
      'drawing 1 starts at frame 3 while another is still held.',
    ],
    [
      shotOf([
        level([
          {
            ...drawing('1'),
            takes: [
              { number: 2, image: imageRef(1) },
              { number: 1, image: imageRef(2) },
            ],
          },
        ]),
      ]),
      'the takes of drawing 1 are not in order.',
    ],
    [
      shotOf([
        level([
          drawing('1', 'key', { from: '2', to: '3', fraction: 0.5 }),
          drawing('2', 'key', { from: '1', to: '3', fraction: 0.5 }),
          drawing('3'),
        ]),
      ]),
      'Drawing 2 cannot lie beside 1, because 1 already hangs on 2.',
    ],
  ])('is refused with a sentence (%#)', (value, sentence) => {
    const result = checkShot(value);
    expect(result.ok ? [] : result.faults).toContain(sentence);
  });
});
