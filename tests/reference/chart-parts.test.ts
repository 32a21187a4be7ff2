/**
 * Parts of a chart against motions whose parts lie where the maker put them (`tests/support/motions.ts`): a body on the
 * half and a part on a third. A chart that says so is kept without a finding, one that says otherwise is not.
 */
import { expect, it } from 'vitest';
import { tallyParts } from '../wild/chart-parts.ts';

it('holds a part to its own fraction, and to no other', () => {
  const tally = tallyParts([731004, 731008, 8101, 8102]);
  expect(tally.misses.join('\n')).toBe('');
  expect(tally).toMatchObject({ asked: 4, false: 0 });
  expect(tally.told).toBe(tally.wrong);
  // So that the counts above say something: of four, three at least are measured.
  expect(tally.wrong).toBeGreaterThanOrEqual(6);
});
