/** How the findings on loose roughs stand against the truth: false ones on faultless drawings, and plants found. */
import { findInDrawing } from '../../src/check/find-in-drawing.ts';
import type { Finding } from '../../src/check/finding.ts';
import { defaultTolerances, scaled } from '../../src/check/tolerances.ts';
import { boxGap } from '../../src/line/box.ts';
import { measureDrawing } from '../../src/line/measure-drawing.ts';
import { seeded } from './line-masks.ts';
import { type LooseDrawing, type Looseness, looseDrawing, loosePictures } from './loose-rough.ts';

export interface LooseTally {
  readonly drawings: number;
  /** Findings of any check on drawings without a fault. */
  readonly wrong: readonly string[];
  readonly planted: number;
  readonly missed: readonly string[];
}

export interface LooseWant {
  readonly looseness: Looseness;
  readonly set: 'tune' | 'judge';
  readonly seed: number;
  readonly count: number;
  readonly scale?: number;
}

/** `count` faultless drawings and as many with one line displaced. */
export function looseTally({ looseness, set, seed, count, scale = 1 }: LooseWant): LooseTally {
  const random = seeded(seed);
  const pictures = loosePictures(set);
  const next = (displaced: boolean): LooseDrawing => {
    for (;;) {
      const picture = pictures[Math.floor(random() * pictures.length)]!;
      const drawing = looseDrawing(picture, {
        seed: Math.floor(random() * 1e9),
        looseness,
        displaced,
        scale,
      });
      if (drawing) return drawing;
    }
  };
  const [wrong, missed]: string[][] = [[], []];
  for (let k = 0; k < count; k++) {
    const right = next(false);
    wrong!.push(...findingsOn(right).map(({ check, message }) => `${right.name}: ${check}: ${message}`));
    const fault = next(true);
    const { box, byPx } = fault.planted!;
    // A line that weighs more than the rest is told as a slip of the whole.
    const found = findingsOn(fault).some(
      ({ check, bbox, amount }) =>
        (check === 'drift' && boxGap(bbox, [...box]) === 0) ||
        (check === 'registration' && amount > 0.7 * byPx),
    );
    if (!found)
      missed!.push(`${fault.name}: ${byPx.toFixed(1)} px, strokes stray ${fault.strayPx.toFixed(1)} px`);
  }
  return { drawings: count, wrong: wrong!, planted: count, missed: missed! };
}

function findingsOn({ clean, rough }: LooseDrawing): Finding[] {
  const measures = measureDrawing(clean, rough);
  const one = {
    drawing: { label: '1', takes: [] },
    measures,
    spacing: undefined,
    boil: undefined,
    failed: undefined,
  };
  const level = { name: '', drawings: [], exposures: [] };
  return findInDrawing(level, one, [one], scaled(defaultTolerances, clean.width));
}
