/** The edges of the drawings: which are in view, and that they go on under a finger held at an end. */
import { expect, test } from 'vitest';
import { edgesAround, edgesFrom, notRunning, runAtEnds } from '../../../src/desk/flip-edges.ts';

const labels = Array.from({ length: 40 }, (_, n) => String(n + 1));
/** Ten edges of 44 px, a target's least size (WCAG 2.2, 2.5.5). */
const widthPx = 449;

test('as many edges as targets fit stand round the drawing', () => {
  expect(edgesAround(labels, '20', widthPx)).toEqual(labels.slice(14, 24));
  expect(edgesAround(labels, '1', widthPx)).toEqual(labels.slice(0, 10));
  expect(edgesAround(labels, '40', widthPx)).toEqual(labels.slice(30));
  expect(edgesAround(labels.slice(0, 10), '7', widthPx)).toEqual(labels.slice(0, 10));
});

test('edges from a place on end with the last', () => {
  expect(edgesFrom(labels, 12, widthPx)).toEqual(labels.slice(12, 22));
  expect(edgesFrom(labels, 39, widthPx)).toEqual(labels.slice(30));
  expect(edgesFrom(labels.slice(0, 4), 2, widthPx)).toEqual(labels.slice(0, 4));
});

/** How many edges were pulled in by a finger at `xPx` in `ms`, looked at every 16 ms. */
function pulled(xPx: number, ms: number): number {
  let run = notRunning;
  let sum = 0;
  for (let nowMs = 1000; nowMs <= 1000 + ms; nowMs += 16) {
    const next = runAtEnds(run, xPx, widthPx, nowMs);
    run = next.run;
    sum += next.by;
  }
  return sum;
}

test('a finger held at an end pulls further edges in, one that taps or lies elsewhere does not', () => {
  expect(pulled(440, 250)).toBe(0);
  expect(pulled(440, 2000)).toBeGreaterThan(8);
  expect(pulled(440, 2000)).toBeLessThan(16);
  expect(pulled(5, 2000)).toBe(-pulled(440, 2000));
  expect(pulled(200, 5000)).toBe(0);
});
