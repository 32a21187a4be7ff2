// Expected: acknowledged means committed, whatever happens to the process. The long run is `kill-bench.ts`.
import { expect, test } from 'vitest';
import { killOverAndOver } from './killed-server.ts';

test('a server killed at random moments keeps every entry it acknowledged, once', async () => {
  const result = await killOverAndOver({ kills: 4, atLeast: 200, clients: 4, seed: 11 });
  expect(result.missing).toEqual([]);
  expect(result.twice).toEqual([]);
  expect(result.integrity).toBe('ok');
  expect(result.acknowledged).toBeGreaterThanOrEqual(200);
  expect(result.cutOff).toBeGreaterThan(0);
});
