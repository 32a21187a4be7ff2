/** Boil on geometry: a known sine across the line has a root mean square of its amplitude over √2. */
import { describe, expect, it } from 'vitest';
import { type Boil, measureBoil } from '../../src/line/boil.ts';
import { isRefused } from '../../src/line/refused.ts';
import { figure, moved, type Point } from '../support/draw-lines.ts';
import { samplesOf } from '../support/samples-of.ts';

const PAPER = { width: 640, height: 480 };

/** The figure with its lines pushed across themselves by a sine along their length. */
function boiling(amplitudePx: number, periodPx: number, move: (p: Point) => Point = (p) => p, widthPx = 4) {
  const fine = samplesOf(figure(), 1);
  const lines: Point[][] = [];
  for (let c = 0; c + 1 < fine.chainStart.length; c++) {
    const line: Point[] = [];
    for (let i = fine.chainStart[c]!; i < fine.chainStart[c + 1]!; i++) {
      const off = amplitudePx * Math.sin((2 * Math.PI * i) / periodPx);
      line.push(
        move([
          fine.x[i]! - Math.sin(fine.tangentRad[i]!) * off,
          fine.y[i]! + Math.cos(fine.tangentRad[i]!) * off,
        ]),
      );
    }
    lines.push(line);
  }
  return samplesOf(lines, 2, widthPx);
}

function boil(from: ReturnType<typeof samplesOf>, to: ReturnType<typeof samplesOf>): Boil {
  const found = measureBoil(from, to, PAPER);
  if (isRefused(found)) throw new Error(found.refused);
  return found;
}

describe('boil', () => {
  it('is nothing between equal drawings, and next to nothing after a shift and a turn', () => {
    expect(boil(boiling(0, 40), boiling(0, 40)).linePx).toBeLessThan(0.02);
    const slipped = boil(
      boiling(0, 40),
      boiling(0, 40, (p) => moved(p, [320, 240], 0.01, 3, -2)),
    );
    expect(slipped.linePx).toBeLessThan(0.05);
    // Pythagoras on the shift; the turn about the paper's middle moves the figure's middle by under a px.
    expect(Math.abs(slipped.movedPx - Math.hypot(3, 2))).toBeLessThan(1);
  });

  it.each([0.5, 1, 2])('reads a sine of amplitude %f px as its root mean square', (amplitudePx) => {
    const { linePx } = boil(boiling(0, 40), boiling(amplitudePx, 40));
    expect(Math.abs(linePx - amplitudePx / Math.SQRT2)).toBeLessThan(0.12 * amplitudePx);
  });

  it('reads boil on a part that moves by itself', () => {
    const nod = (p: Point): Point => (p[1] < 235 && p[0] < 400 ? moved(p, [300, 235], 0.015, 0, 0) : p);
    expect(boil(boiling(0, 40), boiling(1, 40, nod)).linePx).toBeLessThan(1.1);
    expect(boil(boiling(0, 40), boiling(0, 40, nod)).linePx).toBeLessThan(0.35);
  });

  it('reads the difference of widths', () => {
    const { widthPx } = boil(boiling(0, 40), boiling(0, 40, undefined, 4.6));
    // 4.6 − 4 px.
    expect(widthPx).toBeCloseTo(0.6, 5);
  });

  it('refuses drawings that are not near-equal', () => {
    const elsewhere = boiling(0, 40, (p) => moved(p, [320, 240], 0.8, 40, 0));
    expect(measureBoil(boiling(0, 40), elsewhere, PAPER)).toEqual({
      refused: 'the two drawings differ too much for boil to be told from motion',
    });
  });
});
