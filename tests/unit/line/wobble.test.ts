import { describe, expect, it } from 'vitest';
import { isRefused } from '../../../src/line/refused.ts';
import { measureWobble } from '../../../src/line/wobble.ts';
import { arc, type Point } from '../../support/draw-lines.ts';
import { samplesOf } from '../../support/samples-of.ts';

const PAPER = { width: 900, height: 500 };

function wobbleOf(lines: Point[][]) {
  const found = measureWobble(samplesOf(lines), PAPER);
  if (isRefused(found)) throw new Error(found.refused);
  return found;
}

describe('wobble', () => {
  it('is nothing on a straight line and next to nothing on a sweep', () => {
    expect(
      wobbleOf([
        [
          [20, 30],
          [620, 330],
        ],
      ]).rmsPx,
    ).toBeLessThan(1e-3);
    expect(wobbleOf([arc(300, 250, 180, 180, 0, 5, 400)]).rmsPx).toBeLessThan(0.05);
  });

  it('reads a sine of amplitude A as A/√2', () => {
    // Period 16 px. What a parabola through 33 points leaves of it, by the weights that Savitzky & Golay (1964)
    // print for 33 points, (815 − 5k²) / 11935.
    const passed = Array.from(
      { length: 33 },
      (_, i) => ((815 - 5 * (i - 16) ** 2) / 11935) * Math.cos((2 * Math.PI * (i - 16)) / 16),
    );
    const left = 1 - passed.reduce((sum, share) => sum + share, 0);
    // Its steepest parts lie 39° apart: a line that turns by more than 0.8 rad (46°) counts as a corner.
    const shaken = Array.from(
      { length: 600 },
      (_, k): Point => [50 + k, 200 + 0.9 * Math.sin((2 * Math.PI * k) / 16)],
    );
    const { rmsPx } = wobbleOf([shaken]);
    // Along the normal of the shaken line itself, so up to the cosine of its slope (19°) less.
    expect(rmsPx).toBeGreaterThan(((left * 0.9) / Math.SQRT2) * 0.8);
    expect(rmsPx).toBeLessThan(((left * 0.9) / Math.SQRT2) * 1.1);
  });

  it('points at the shaken stretch', () => {
    const line = Array.from({ length: 700 }, (_, k): Point => {
      const shaken = k > 300 && k < 360 ? 2 * Math.sin((2 * Math.PI * k) / 14) : 0;
      return [50 + k, 200 + shaken];
    });
    const { runs } = wobbleOf([line]);
    expect(runs.length).toBeGreaterThan(0);
    for (const { bbox } of runs) {
      expect(bbox[0] + bbox[2]).toBeGreaterThan(350);
      expect(bbox[0]).toBeLessThan(410);
    }
  });

  it('refuses a drawing of dots', () => {
    expect(measureWobble(samplesOf([]), PAPER)).toEqual({
      refused: 'no line is long enough to show a wobble',
    });
  });
});
