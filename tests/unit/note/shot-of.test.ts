// Expected values: worked by hand; the rest are invariants (round trip, order of arrival, NIST's SHA-256 by Node).
import { createHash } from 'node:crypto';
import * as fc from 'fast-check';
import * as v from 'valibot';
import { describe, expect, test } from 'vitest';
import type { Body, Entry } from '../../../src/note/entry.ts';
import { bodySchema } from '../../../src/note/entry.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import { isTrueOrigin, originEntries } from '../../../src/note/origin.ts';
import { firstDone } from '../../../src/note/pace.ts';
import { drawingState } from '../../../src/note/progress.ts';
import { sha256 } from '../../../src/note/sha256.ts';
import { shotBodies } from '../../../src/note/shot-bodies.ts';
import { shotOf, withoutPictures } from '../../../src/note/shot-of.ts';
import { guessExposures } from '../../../src/shot/exposures.ts';
import type { ImageRef, Shot } from '../../../src/shot/model.ts';
import { imageRef } from '../shot/make.ts';
import { ana, dov, entry, ines } from './make.ts';

const take = (seed: number, at: number, again?: boolean, drawing = '3'): Entry =>
  entry({ kind: 'take', level: '', drawing, image: imageRef(seed), ...(again && { again }) }, at, ana);
const brought = (bodies: readonly Body[]): Entry[] => originEntries('shot-1', bodies);
const seeds = (shot: Shot | undefined): number[] =>
  (shot?.levels[0]?.drawings[0]?.takes ?? []).map(({ image }) => image.byteLength - 100);
const takeBody = (seed: number): Body => ({ kind: 'take', level: '', drawing: '3', image: imageRef(seed) });

const sleeve = { place: { box: [10, 20, 300, 40] as const }, words: 'sleeve', fraction: 1 / 3 };

/** Shots as intake makes them: drawings in label order, takes numbered from 1. */
const shots: fc.Arbitrary<Shot> = fc
  .record({
    title: fc.string({ maxLength: 8 }),
    fps: fc.constantFrom(12, 24, 25, undefined),
    extra: fc.option(fc.dictionary(fc.constantFrom('studio', 'reel'), fc.jsonValue()), { nil: undefined }),
    levels: fc.uniqueArray(
      fc.record({
        name: fc.constantFrom('', 'tones', 'A'),
        known: fc.boolean(),
        labels: fc.uniqueArray(fc.integer({ min: 1, max: 12 }), { minLength: 1, maxLength: 6 }),
        parts: fc.array(
          fc.record({
            rough: fc.option(fc.integer({ min: 1, max: 5 }), { nil: undefined }),
            takes: fc.array(fc.integer({ min: 10, max: 13 }), { maxLength: 4 }),
            role: fc.constantFrom('key' as const, 'inbetween' as const, undefined),
            chart: fc.boolean(),
            part: fc.boolean(),
            runsOn: fc.boolean(),
          }),
          { minLength: 6, maxLength: 6 },
        ),
      }),
      { selector: ({ name }) => name, minLength: 1, maxLength: 3 },
    ),
  })
  .map(({ title, fps, extra, levels }) => {
    const images: ImageRef[] = [];
    const image = (seed: number): ImageRef => {
      const made = imageRef(seed, [100 + seed, 80]);
      images.push(made);
      return made;
    };
    const built = levels.map(({ name, known, labels, parts }) => {
      const drawings = labels
        .toSorted((a, b) => a - b)
        .map((number, n) => {
          const part = parts[n];
          const takes = (part?.takes ?? []).filter((seed, i, all) => seed !== all[i - 1]);
          return {
            label: String(number),
            ...(part?.role && { role: part.role }),
            ...(part?.chart && {
              chart: { from: '1', to: '9', fraction: 0.5, ...(part.part && { parts: [sleeve] }) },
            }),
            ...(part?.runsOn && { runsOn: true }),
            ...(part?.rough && { rough: image(part.rough) }),
            takes: takes.map((seed, i) => ({ number: i + 1, image: image(seed) })),
          };
        });
      const guess = guessExposures(drawings.map(({ label }) => label));
      return {
        name,
        drawings,
        exposures: known ? guess.slice(1).map((e) => ({ ...e, length: 1 })) : guess,
        ...(!known && { exposuresGuessed: true as const }),
      };
    });
    return {
      id: 'shot-1',
      title,
      fps: fps ?? 24,
      ...(fps === undefined && { fpsGuessed: true as const }),
      sizePx: [
        Math.max(1, ...images.map(({ width }) => width)),
        Math.max(1, ...images.map(({ height }) => height)),
      ] as const,
      levels: built,
      ...(extra && { extra }),
    };
  });

test('a shot said in entries is that shot, and every body is one that the schema takes', () => {
  fc.assert(
    fc.property(shots, (shot) => {
      const bodies = shotBodies(shot);
      for (const body of bodies) expect(v.safeParse(bodySchema, body).success, body.kind).toBe(true);
      const entries = brought(bodies);
      expect(shotOf('shot-1', entries)).toEqual(shot);
      expect(shotOf('shot-1', [...entries.toReversed(), ...entries])).toEqual(shot);
      expect(entries.every(isTrueOrigin)).toBe(true);
      expect(shotBodies(shot, shot)).toEqual([]);
    }),
    { numRuns: 120 },
  );
});

test('what is said of the difference between two shots makes the second, with what only the first had', () => {
  fc.assert(
    fc.property(shots, shots, (first, second) => {
      const entries = brought(shotBodies(first));
      const before = shotOf('shot-1', entries) as Shot;
      const said = shotBodies(second, before).map((body, n) => entry(body, 10 + n, dov));
      const after = shotOf('shot-1', [...entries, ...said]) as Shot;
      expect(after.title).toBe(second.title);
      if (!second.fpsGuessed) expect(after.fps).toBe(second.fps);
      for (const level of second.levels) {
        const now = after.levels.find(({ name }) => name === level.name);
        for (const drawing of level.drawings) {
          const found = now?.drawings.find(({ label }) => label === drawing.label);
          expect(found).toBeDefined();
          if (drawing.rough) expect(found?.rough).toEqual(drawing.rough);
          if (drawing.role) expect(found?.role).toBe(drawing.role);
        }
        if (!level.exposuresGuessed)
          for (const exposure of level.exposures)
            expect(now?.exposures.some((e) => e.drawing === exposure.drawing)).toBe(true);
      }
    }),
    { numRuns: 120 },
  );
});

describe('takes', () => {
  test('follow in the order of entries, whoever’s', () => {
    expect(seeds(shotOf('shot-1', [take(3, 30), take(1, 10), take(2, 20)]))).toEqual([1, 2, 3]);
  });
  test('a picture that the drawing has is no new take', () => {
    expect(seeds(shotOf('shot-1', [take(1, 10), take(2, 20), take(1, 30)]))).toEqual([1, 2]);
  });
  test('a folder that went back to an earlier picture makes a take of it, once', () => {
    expect(seeds(shotOf('shot-1', [take(1, 10), take(2, 20), take(1, 30, true)]))).toEqual([1, 2, 1]);
    const twice = [take(1, 10), take(2, 20), take(1, 30, true), take(1, 40, true)];
    expect(seeds(shotOf('shot-1', twice))).toEqual([1, 2, 1]);
  });
  test('what somebody said goes before what a machine found: the order of a wiped studio comes back', () => {
    // The studio was wiped and read its folder anew: it knows the third picture as the first.
    const found = brought([takeBody(3)]);
    const held = [...brought([takeBody(1)]), take(2, 20), take(3, 30)];
    expect(seeds(shotOf('shot-1', [...found, ...held]))).toEqual([1, 2, 3]);
  });
  test('a withdrawn take is none, and gives its number back', () => {
    const wrong = take(2, 20);
    const entries = [take(1, 10), wrong, take(3, 30), entry({ kind: 'withdraw', to: wrong.id }, 40, ana)];
    expect(seeds(shotOf('shot-1', entries))).toEqual([1, 3]);
  });
  test('pictures that are not here are left out, and the others keep their numbers', () => {
    const shot = shotOf('shot-1', [take(1, 10), take(2, 20), take(3, 30)]) as Shot;
    const here = withoutPictures(shot, new Set([imageRef(2).sha256]));
    expect(here.levels[0]?.drawings[0]?.takes.map(({ number }) => number)).toEqual([1, 3]);
  });
});

describe('a newer take says that its drawing is clean', () => {
  const state = (entries: readonly Entry[]): string => {
    const shot = shotOf('shot-1', entries) as Shot;
    const drawing = shot.levels[0]?.drawings[0];
    return drawing ? drawingState(mergeNotes(entries), '', drawing) : 'none';
  };
  const said = (word: 'rough' | 'approved', at: number): Entry =>
    entry({ kind: 'drawing state', level: '', drawing: '3', state: word }, at, dov);
  test('an approved drawing becomes clean by it, and whoever speaks later has the last word', () => {
    expect(state([take(1, 10), said('approved', 20)])).toBe('approved');
    expect(state([take(1, 10), said('approved', 20), take(2, 30)])).toBe('clean');
    expect(state([take(1, 10), take(2, 30), said('rough', 40)])).toBe('rough');
  });
  test('a picture there is, taken in once more, says nothing; nor does what the shot brought', () => {
    expect(state([take(1, 10), said('approved', 20), take(1, 30)])).toBe('approved');
    expect(state([...brought([takeBody(1)]), said('rough', 20)])).toBe('rough');
  });
  test('it counts for the pace of who brought it, and what the shot brought counts for nobody’s', () => {
    const done = firstDone([...brought([takeBody(1)]), take(2, 86_400_000, false, '5')], 0);
    expect(done).toEqual([{ key: '["","5"]', day: 1, person: ana.id }]);
  });
  test('mending a drawing that came clean counts for nobody’s pace; one said to be rough counts', () => {
    const came = brought([takeBody(1)]);
    expect(firstDone([...came, take(2, 86_400_000)], 0)).toEqual([]);
    expect(firstDone([...came, said('rough', 20), take(2, 86_400_000)], 0)).toMatchObject([{ day: 1 }]);
  });
});

describe('who may say what', () => {
  const at = { level: '', drawing: '3' };
  test.each([
    [{ kind: 'shot', title: 'Lamp' } as const, ana, ''],
    [{ kind: 'shot', title: 'Lamp' } as const, ines, 'Lamp'],
    [{ kind: 'shot', title: 'Lamp' } as const, dov, 'Lamp'],
  ])('%j of the role that writes it', (body, person, title) => {
    expect(shotOf('shot-1', [take(1, 10), entry(body, 20, person)])?.title).toBe(title);
  });
  test('an artist draws, and says neither levels nor sheet nor rate', () => {
    const bodies: Body[] = [
      { kind: 'drawing', ...at },
      { kind: 'rough', ...at, image: imageRef(4) },
      { kind: 'take', ...at, image: imageRef(5) },
      { kind: 'shot', fps: 12 },
      { kind: 'level', level: 'tones' },
      { kind: 'exposure', ...at, exposures: [{ frame: 9, length: 1 }] },
    ];
    const shot = shotOf(
      'shot-1',
      bodies.map((body, n) => entry(body, n + 1, ana)),
    );
    expect(shot).toMatchObject({ fps: 24, fpsGuessed: true });
    expect(shot?.levels.map(({ name }) => name)).toEqual(['']);
    expect(shot?.levels[0]?.exposuresGuessed).toBe(true);
    expect(shot?.levels[0]?.drawings[0]).toMatchObject({ rough: imageRef(4), takes: [{ number: 1 }] });
  });
  test('nobody forges what a shot brought: its id is made of what it says', () => {
    const [true_] = brought([{ kind: 'shot', title: 'Lantern' }]) as [Entry];
    expect(isTrueOrigin(true_)).toBe(true);
    expect(isTrueOrigin({ ...true_, body: { kind: 'shot', title: 'Lamp' } })).toBe(false);
    expect(isTrueOrigin({ ...true_, stamp: { wallMs: 5, counter: 1 } })).toBe(false);
  });
});

test('title and rate are each by their last writer; a rate taken back is a guess again', () => {
  const entries = [
    take(1, 1),
    entry({ kind: 'shot', title: 'Lantern', fps: 25 }, 10, dov),
    entry({ kind: 'shot', fps: 12 }, 20, ines),
    entry({ kind: 'shot', title: 'Lamp' }, 15, ines),
  ];
  expect(shotOf('shot-1', entries)).toMatchObject({ title: 'Lamp', fps: 12 });
  const back = entry({ kind: 'shot', fps: null }, 30, dov);
  expect(shotOf('shot-1', [...entries, back])).toMatchObject({ title: 'Lamp', fps: 24, fpsGuessed: true });
});

test('levels lie in the order that was said; one nobody named comes after', () => {
  const on = (level: string, at: number): Entry =>
    entry({ kind: 'take', level, drawing: '1', image: imageRef(1) }, at, ana);
  const entries = [on('A', 1), on('B', 2), on('C', 3), entry({ kind: 'levels', order: ['B', 'A'] }, 4, dov)];
  expect(shotOf('shot-1', entries)?.levels.map(({ name }) => name)).toEqual(['B', 'A', 'C']);
});

test('no drawing, no shot', () => {
  expect(shotOf('shot-1', [])).toBeUndefined();
  expect(shotOf('shot-1', [entry({ kind: 'shot', title: 'Lamp' }, 1, dov)])).toBeUndefined();
});

test('SHA-256 is that of Node’s OpenSSL, of any text', () => {
  const texts = fc.oneof(fc.string({ unit: 'binary', maxLength: 200 }), fc.string({ maxLength: 70 }));
  fc.assert(
    fc.property(texts, (text) => {
      expect(sha256(text)).toBe(createHash('sha256').update(text).digest('hex'));
    }),
    { numRuns: 150 },
  );
  // FIPS 180-4 examples: "abc".
  expect(sha256('abc')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
});
