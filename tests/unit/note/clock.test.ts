// Expected values: Kulkarni et al. 2014, fig. 5 (send and receive events), worked by hand.
import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { compareStamps, firstStamp, latestStamp, receive, tick } from '../../../src/note/clock.ts';
import { lastCounter, lastWallMs } from '../../../src/note/entry.ts';

const stamp = fc.record({
  wallMs: fc.integer({ min: 0, max: lastWallMs }),
  counter: fc.nat({ max: lastCounter }),
});

describe('tick', () => {
  test('takes a newer wall clock and starts the counter again', () => {
    expect(tick({ wallMs: 10, counter: 7 }, 11)).toEqual({ wallMs: 11, counter: 0 });
  });
  test.each([10, 9, -5, Number.NaN])('counts on when the wall clock says %s, not later', (wallMs) => {
    expect(tick({ wallMs: 10, counter: 7 }, wallMs)).toEqual({ wallMs: 10, counter: 8 });
  });
  test('carries a full counter into the milliseconds', () => {
    expect(tick({ wallMs: 10, counter: lastCounter }, 3)).toEqual({ wallMs: 11, counter: 0 });
  });
  test('at the end of its range it stands still and never runs back', () => {
    const last = { wallMs: lastWallMs, counter: lastCounter };
    expect(tick(last, Number.MAX_SAFE_INTEGER)).toEqual(last);
    expect(new Date(lastWallMs).toISOString()).toBe('9999-12-31T23:59:59.999Z');
  });
  test('rounds a fractional clock down', () => {
    expect(tick(firstStamp, 1.9)).toEqual({ wallMs: 1, counter: 0 });
  });
  test('always grows, whatever the wall clock says', () => {
    fc.assert(
      fc.property(stamp, fc.double(), (previous, wallMs) => {
        fc.pre(previous.wallMs < lastWallMs);
        expect(compareStamps(tick(previous, wallMs), previous)).toBeGreaterThan(0);
      }),
    );
  });
});

describe('receive', () => {
  // Fig. 5: l' = max(l, l.m, pt); c' = max(c, c.m)+1, c+1, c.m+1 or 0.
  test.each([
    ['both equal, clock behind', [10, 2], [10, 5], 4, [10, 6]],
    ['own is ahead', [12, 2], [10, 5], 4, [12, 3]],
    ['the other is ahead', [10, 2], [15, 5], 4, [15, 6]],
    ['the clock is ahead', [10, 2], [15, 5], 20, [20, 0]],
  ] as const)('%s', (_, [l, c], [lm, cm], pt, [wallMs, counter]) => {
    expect(receive({ wallMs: l, counter: c }, { wallMs: lm, counter: cm }, pt)).toEqual({ wallMs, counter });
  });
});

test('latestStamp of none is the first, of many the greatest', () => {
  expect(latestStamp([])).toEqual(firstStamp);
  expect(
    latestStamp([
      { wallMs: 3, counter: 1 },
      { wallMs: 3, counter: 9 },
      { wallMs: 2, counter: 50 },
    ]),
  ).toEqual({ wallMs: 3, counter: 9 });
});
