import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { ImageRef } from '../../../src/shot/model.ts';
import { createDecoding } from '../../../src/stage/decoding.ts';
import { sheetKey } from '../../../src/stage/sheets.ts';

beforeEach(() => vi.useFakeTimers());
afterEach(() => vi.useRealTimers());

const image: ImageRef = {
  sha256: 'a'.repeat(64),
  mediaType: 'image/png',
  width: 8,
  height: 8,
  byteLength: 99,
};
const key = sheetKey(image, 'flip');

/** A queue whose source answers in turn; the last answer for ever. */
function queue(...answers: readonly ('fails' | 'absent' | 'had')[]) {
  let [asked, changed, held] = [0, 0, false];
  const decoding = createDecoding({
    has: () => held,
    reserve: () => ({ bytes: 1, spare: undefined }),
    release: () => undefined,
    load: async () => {
      const answer = answers[Math.min(asked++, answers.length - 1)];
      if (answer === 'fails') throw new Error('The disk is busy.');
      held = answer === 'had';
      return held;
    },
    changed: () => void changed++,
  });
  decoding.plan([{ image, quality: 'flip' }], 1);
  return { decoding, asked: () => asked, changed: () => changed, held: () => held };
}

test('a picture that could not be had for a moment comes by itself, the hand resting on it', async () => {
  const { decoding, asked, held, changed } = queue('fails', 'fails', 'had');
  await vi.advanceTimersByTimeAsync(0);
  expect(decoding.absent(key)).toBe(true);
  await vi.advanceTimersByTimeAsync(500);
  expect(asked()).toBe(2);
  await vi.advanceTimersByTimeAsync(1000);
  expect([asked(), held(), decoding.absent(key)]).toEqual([3, true, false]);
  expect(changed()).toBe(3);
});

test('one that always fails is asked for ever more rarely, and no more after the end', async () => {
  const { decoding, asked } = queue('fails');
  await vi.advanceTimersByTimeAsync(60_000);
  // At 0, ½, 1½, 3½, 7½, 15½, 31½ and 47½ seconds.
  expect(asked()).toBe(8);
  decoding.stop();
  await vi.advanceTimersByTimeAsync(60_000);
  expect(asked()).toBe(8);
});

test('what the source says it does not keep is not asked for again until it is shown again', async () => {
  const { decoding, asked } = queue('absent');
  await vi.advanceTimersByTimeAsync(60_000);
  expect(asked()).toBe(1);
  decoding.retry([image]);
  decoding.plan([{ image, quality: 'flip' }], 1);
  await vi.advanceTimersByTimeAsync(0);
  expect(asked()).toBe(2);
});
