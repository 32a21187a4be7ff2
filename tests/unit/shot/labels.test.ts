import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compareLabels, tidyLabel } from '../../../src/shot/labels.ts';

describe('labels', () => {
  it.each([
    ['0012', '12'],
    ['0012a', '12A'],
    ['000', '0'],
    [' 7 ', '7'],
    ['A0103', 'A103'],
    ['１２', '12'], // full-width digits: Unicode NFKC
    ['100', '100'],
    ['12ab', '12ab'],
  ])('%s is written %s', (text, label) => expect(tidyLabel(text)).toBe(label));

  it('orders as on the pegs, not as text', () => {
    const ordered = ['1', '2', '2A', '2B', '3', '10', '10A', '100', 'A1', 'A2', 'A10', 'B1'];
    expect([...ordered].reverse().sort(compareLabels)).toEqual(ordered);
  });

  it('orders numbers too long for arithmetic', () => {
    expect(compareLabels(`9${'0'.repeat(40)}`, `1${'0'.repeat(41)}`)).toBeLessThan(0);
  });

  it('is a total order: antisymmetric, transitive, 0 only for the same label', () => {
    const label = fc.stringMatching(/^[0-9A-C]{0,6}$/);
    fc.assert(
      fc.property(label, label, label, (a, b, c) => {
        expect(Math.sign(compareLabels(a, b))).toBe(-Math.sign(compareLabels(b, a)) || 0);
        expect(compareLabels(a, b) === 0).toBe(a === b);
        if (compareLabels(a, b) <= 0 && compareLabels(b, c) <= 0)
          expect(compareLabels(a, c)).toBeLessThanOrEqual(0);
      }),
      { seed: 11 },
    );
  });

  it('tidies once and for all', () => {
    fc.assert(
      fc.property(fc.string(), (text) => {
        expect(tidyLabel(tidyLabel(text))).toBe(tidyLabel(text));
      }),
      { seed: 12 },
    );
  });
});
