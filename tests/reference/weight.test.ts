/**
 * Line weight against line art of published stroke width, rendered by resvg: `lucide-static` and `openmoji`
 * strokes are 2 units wide (see support/line-art.ts). Left out by shape, not by result: art that is filled,
 * scaled or clipped. Where two strokes of the art overlap side by side the ink truly is wider than one, so
 * the RMSE is taken over drawings (their medians), and single samples by the share that lies near.
 */
import { expect, test } from 'vitest';
import { inkOf } from '../../src/line/ink.ts';
import { lineSamples } from '../../src/line/line-samples.ts';
import { isRefused } from '../../src/line/refused.ts';
import { lineRuns } from '../../src/line/runs.ts';
import { skeletonOf } from '../../src/line/skeleton.ts';
import { measureWeight } from '../../src/line/weight.ts';
import { type LineArt, lucideArt, openmojiArt, render, sampled, strokeWidthPx } from '../support/line-art.ts';

const ART_EACH = 120;

function errorsOf(art: readonly LineArt[], strokePx: number, paper: 'white' | 'transparent') {
  const ofDrawings: number[] = [];
  const ofSamples: number[] = [];
  for (const one of art) {
    const picture = render(one, strokePx, paper);
    const ink = inkOf(picture);
    const samples = lineSamples(ink, skeletonOf(lineRuns(ink.coverage, ink.width, ink.height)));
    const weight = measureWeight(samples);
    if (isRefused(weight)) continue;
    const truthPx = strokeWidthPx(picture, one);
    ofDrawings.push(weight.medianPx - truthPx);
    for (const widthPx of samples.widthPx) if (widthPx > 0) ofSamples.push(Math.abs(widthPx - truthPx));
  }
  return { ofDrawings, ofSamples: ofSamples.sort((a, b) => a - b) };
}

const rmse = (errors: readonly number[]) =>
  Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length);

const sets = { lucide: sampled(lucideArt(), ART_EACH, 41), openmoji: sampled(openmojiArt(), ART_EACH, 42) };

test.each(
  (['lucide', 'openmoji'] as const).flatMap((name) =>
    [3, 4.5, 8, 13, 20].flatMap((strokePx) =>
      (['white', 'transparent'] as const).map((paper) => [name, strokePx, paper] as const),
    ),
  ),
)('%s at %f px on %s: within 0.1 px RMSE', (name, strokePx, paper) => {
  const { ofDrawings, ofSamples } = errorsOf(sets[name], strokePx, paper);
  // At 3 px a lucide drawing is 36 px wide, and some hold no 16 px of plain line to measure.
  expect(ofDrawings.length).toBeGreaterThan(0.8 * ART_EACH);
  expect(rmse(ofDrawings)).toBeLessThan(0.1);
  expect(ofSamples[Math.floor(0.9 * ofSamples.length)]!).toBeLessThan(0.01 * strokePx + 0.1);
});
