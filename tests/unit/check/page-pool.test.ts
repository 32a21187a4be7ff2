import { expect, test } from 'vitest';
import { pageWorkers } from '../../../src/check/page-pool.ts';

test('one core stays with the hand, two workers are the most, and large drawings have one at a time', () => {
  expect([1, 2, 3, 8].map((cores) => pageWorkers(cores, [2048, 1152]))).toEqual([1, 1, 2, 2]);
  expect(pageWorkers(8, [4096, 2160])).toBe(1);
});
