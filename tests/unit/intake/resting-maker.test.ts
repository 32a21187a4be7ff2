import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { restingMaker } from '../../../src/intake/resting-maker.ts';
import type { ImageMaker, Made } from '../../../src/intake/types.ts';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

/** Makers that a test can count, of which each image waits to be let through. */
function makers() {
  const waits: (() => void)[] = [];
  const open = { count: 0, begun: 0, fails: false };
  const start = async (): Promise<ImageMaker> => {
    open.begun++;
    if (open.fails) throw new Error('its code could not be fetched');
    open.count++;
    return {
      width: 2,
      make: () => new Promise<Made>((done) => waits.push(() => done({} as Made))),
      close: () => void open.count--,
    };
  };
  return { start, waits, open };
}

test('its workers are let go once nothing came for a while, not while an image is being made', async () => {
  const { start, waits, open } = makers();
  const maker = restingMaker(start);
  const both = [maker.make(new ArrayBuffer(1)), maker.make(new ArrayBuffer(1))];
  await vi.advanceTimersByTimeAsync(0);
  expect([open.begun, open.count]).toEqual([1, 1]);
  waits.shift()?.();
  // The second takes long: nobody is sent home.
  await vi.advanceTimersByTimeAsync(600_000);
  expect(open.count).toBe(1);
  waits.shift()?.();
  await Promise.all(both);
  await vi.advanceTimersByTimeAsync(60_000);
  expect(open.count).toBe(0);
  const again = maker.make(new ArrayBuffer(1));
  await vi.advanceTimersByTimeAsync(0);
  expect([open.begun, open.count]).toEqual([2, 1]);
  waits.shift()?.();
  await again;
});

test('one that could not start is started anew with the next image', async () => {
  const { start, waits, open } = makers();
  const maker = restingMaker(start);
  open.fails = true;
  await expect(maker.make(new ArrayBuffer(1))).rejects.toThrow('could not be fetched');
  open.fails = false;
  const made = maker.make(new ArrayBuffer(1));
  await vi.advanceTimersByTimeAsync(0);
  waits.shift()?.();
  await expect(made).resolves.toBeDefined();
});
