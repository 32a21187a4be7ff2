// Expected: invariants. The seeds are fixed, so that a failure here comes from a change; `npm run fuzz` looks for new ones.
import * as fc from 'fast-check';
import { describe, test } from 'vitest';
import { fuzzes } from './all.ts';

describe.each(fuzzes)('$name', ({ open, tries }) => {
  test.each([2026, 77])('seed %i', async (seed) => {
    const { property, close } = await open();
    try {
      await fc.assert(property, { seed, numRuns: tries / 2 });
    } finally {
      await close?.();
    }
  });
});
