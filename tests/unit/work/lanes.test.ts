import { expect, test } from 'vitest';
import { each, inLanes, later } from '../../../src/work/lanes.ts';

const soon = () => new Promise<void>((done) => setImmediate(done));

test('every item is worked on once, never more at a time than there are lanes, and never fewer while some wait', async () => {
  const items = Array.from({ length: 11 }, (_, n) => n);
  const [done, together]: [number[], number[]] = [[], []];
  let busy = 0;
  await inLanes(3, each(items), async (item) => {
    together.push(++busy);
    await soon();
    busy--;
    done.push(item);
  });
  expect(done.toSorted((a, b) => a - b)).toEqual(items);
  expect(Math.max(...together)).toBe(3);
  expect(together.slice(2)).toEqual(together.slice(2).map(() => 3));
});

test('the first failure is the whole’s, and nothing is begun after it', async () => {
  const begun: number[] = [];
  const whole = inLanes(2, each([0, 1, 2, 3, 4, 5]), async (item) => {
    begun.push(item);
    await soon();
    if (item === 1) throw new Error('no room for 1');
  });
  await expect(whole).rejects.toThrow('no room for 1');
  await soon();
  await soon();
  expect(begun).toEqual([0, 1, 2]);
});

test('a signal ends it with its reason, also a lane that waits for another', async () => {
  const stop = new AbortController();
  const whole = inLanes(
    2,
    () => (stop.signal.aborted ? later : 'work'),
    async () => {
      await soon();
      stop.abort(new Error('the desk was left'));
    },
    stop.signal,
  );
  await expect(whole).rejects.toThrow('the desk was left');
});

test('what must wait for another lane’s work is begun when that is done', async () => {
  const order: string[] = [];
  const left = new Set(['a', 'after a']);
  const next = () => {
    for (const item of left) {
      if (item === 'after a' && !order.includes('a done')) continue;
      left.delete(item);
      return item;
    }
    return left.size > 0 ? later : undefined;
  };
  await inLanes(3, next, async (item) => {
    await soon();
    order.push(`${item} done`);
  });
  expect(order).toEqual(['a done', 'after a done']);
});

test('what waits for what nobody does is told, not waited for', async () => {
  await expect(
    inLanes(
      2,
      () => later,
      async () => undefined,
    ),
  ).rejects.toThrow('waits for what nobody does');
});
