import { expect, test } from 'vitest';
import { createChecker, type ResultCache } from '../../../src/check/checker.ts';
import type { Request, Result } from '../../../src/check/jobs.ts';
import type { Pool } from '../../../src/check/pool.ts';
import { figure, shot } from '../desk/a-shot.ts';

const drawings = figure.drawings.filter(({ takes }) => takes.length > 0);
const one = { ...shot, levels: [{ ...figure, drawings }] };
const signal = new AbortController().signal;
const blank = { samples: {}, sizePx: [1920, 1080] } as unknown as Result;

const idly = (): void => undefined;

/** A pool that answers at once and says what it was asked, in order. */
function toldPool(size = 1): { pool: Pool<string>; asked: string[] } {
  const asked: string[] = [];
  const ask = async (request: Request<string>): Promise<Result> => {
    if (request.kind === 'drawing') asked.push(request.clean.replace(/^c|0+$/g, ''));
    return blank;
  };
  return {
    asked,
    pool: { size, ask, pause: idly, resume: idly, rest: idly, wake: idly, close: idly },
  };
}
const checkerOf = (pool: Pool<string>, cache?: ResultCache) =>
  createChecker({ pool, open: async ({ sha256 }) => sha256, ...(cache && { cache }) });

test('the nearest drawings come first, and the order follows the hand', async () => {
  const { pool, asked } = toldPool();
  let hand = drawings.findIndex(({ label }) => label === '5');
  await checkerOf(pool).check(one, {
    signal,
    near: () => ({ level: 0, drawing: hand }),
    onResult: () => {
      // After the first result the hand has flipped to the end.
      hand = drawings.length - 1;
    },
  });
  expect(asked[0]).toBe('5');
  // One lane is ahead of the worker, so the hand's new place counts from the third job on at the latest.
  expect(asked.slice(2)).toEqual(
    asked.slice(2).toSorted((a, b) => Number.parseInt(b, 10) - Number.parseInt(a, 10)),
  );
  expect(asked.toSorted()).toEqual(drawings.map(({ label }) => label).toSorted());
});

test('the drawing under the hand and its two neighbours come before anything that lies between', async () => {
  // One lane, so that nothing is begun before another thing has ended.
  const { pool } = toldPool(0);
  const kinds: string[] = [];
  await checkerOf(pool).check(one, {
    signal,
    near: () => ({ level: 0, drawing: 1 }),
    onResult: ({ kind, place }) => void kinds.push(`${kind} ${place.drawing}`),
  });
  expect(kinds.slice(0, 4)).toEqual(['drawing 1', 'drawing 0', 'drawing 2', 'boil 1']);
});

test('nothing is begun while the hand is not at rest', async () => {
  const { pool, asked } = toldPool();
  let rest: () => void = () => undefined;
  const rested = new Promise<void>((done) => {
    rest = done;
  });
  const done = checkerOf(pool).check(one, { signal, ready: () => rested });
  await new Promise((soon) => setImmediate(soon));
  expect(asked).toEqual([]);
  rest();
  await done;
  expect(asked).toHaveLength(drawings.length);
});

test('what is known already is not asked again', async () => {
  const known = new Map<string, Result>();
  const cache: ResultCache = {
    get: (key) => known.get(key),
    set: (key, result) => void known.set(key, result),
  };
  const first = toldPool();
  await checkerOf(first.pool, cache).check(one, { signal });
  const again = toldPool();
  const { results } = await checkerOf(again.pool, cache).check(one, { signal });
  expect(again.asked).toEqual([]);
  expect(results.size).toBe(known.size);
});
