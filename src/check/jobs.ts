import { type Boil } from '../line/boil.ts';
import type { DrawingMeasures } from '../line/measure-drawing.ts';
import type { PairMatch } from '../line/path/match-pair.ts';
import type { Point, Step } from '../line/path/step-place.ts';
import type { Refused } from '../line/refused.ts';
import type { LineSamples } from '../line/samples.ts';
import type { Spacing, SpacingRefused } from '../line/spacing.ts';
import { compareLabels } from '../shot/labels.ts';
import type { Drawing, ImageRef, Level, Shot } from '../shot/model.ts';
import { cleanOf } from '../shot/takes.ts';

/** Goes up when a measure changes its meaning, so that kept results are made anew. */
const MEASURE_VERSION = 13;

/** One thing to measure. Its key names the images it depends on, so a result serves every shot that has them. */
export type Job =
  | {
      readonly kind: 'drawing';
      readonly key: string;
      readonly place: Place;
      readonly clean: ImageRef;
      readonly rough?: ImageRef;
    }
  | {
      readonly kind: 'spacing';
      readonly key: string;
      readonly place: Place;
      readonly from: string;
      readonly to: string;
      readonly of: string;
    }
  | {
      readonly kind: 'boil';
      readonly key: string;
      readonly place: Place;
      readonly from: string;
      readonly to: string;
    };

/** Where in the shot a job belongs, for working on the nearest first. */
export interface Place {
  readonly level: number;
  readonly drawing: number;
}

export interface Results {
  drawing: DrawingMeasures;
  spacing: Spacing | SpacingRefused;
  boil: Boil | Refused;
  match: PairMatch;
  step: Step | Refused;
}

export type Result = Results[keyof Results];

/**
 * What a worker is sent; `P` is a picture in whatever form it can open. By `key` a worker that keeps results
 * finds one it has already.
 */
export type Request<P> = { readonly key: string } & (
  | { readonly kind: 'drawing'; readonly clean: P; readonly rough: P | undefined; readonly mostGapPx: number }
  | {
      readonly kind: 'spacing';
      readonly a: LineSamples;
      readonly b: LineSamples;
      readonly c: LineSamples;
      readonly sizePx: Size;
    }
  | {
      readonly kind: 'boil' | 'match';
      readonly a: LineSamples;
      readonly b: LineSamples;
      readonly sizePx: Size;
    }
  /** Not worth keeping: its key is empty. */
  | {
      readonly kind: 'step';
      readonly place: Point;
      readonly a: LineSamples;
      readonly b: LineSamples;
      readonly match: PairMatch;
    }
);

type Size = readonly [width: number, height: number];

/** Key of the result for a clean drawing and its rough. */
export function measureKey(drawing: Drawing, mostGapPx: number): string | undefined {
  const clean = cleanOf(drawing);
  return clean && `${MEASURE_VERSION}:drawing:${clean.sha256}:${drawing.rough?.sha256 ?? ''}:${mostGapPx}`;
}

/** Key of what lies between drawings, made of theirs. */
export function betweenKey(kind: 'spacing' | 'boil' | 'match', drawings: readonly Drawing[]): string {
  return `${MEASURE_VERSION}:${kind}:${drawings.map((drawing) => cleanOf(drawing)?.sha256 ?? '').join(':')}`;
}

/** Every job of a shot. Spacing and boil wait for the drawings whose keys they name. */
export function jobsOf(shot: Shot, mostGapPx: number): Job[] {
  return shot.levels.flatMap((level, levelIndex) => {
    const byLabel = new Map(level.drawings.map((drawing) => [drawing.label, drawing]));
    const keyOf = (label: string) => {
      const drawing = byLabel.get(label);
      return drawing && measureKey(drawing, mostGapPx);
    };
    return level.drawings.flatMap((drawing, index): Job[] => {
      const key = measureKey(drawing, mostGapPx);
      const clean = cleanOf(drawing);
      if (!key || !clean) return [];
      const place = { level: levelIndex, drawing: index };
      const jobs: Job[] = [{ kind: 'drawing', key, place, clean, rough: drawing.rough }];
      // What runs on after the pose is held to no chart of the body.
      const chart = drawing.runsOn ? undefined : drawing.chart;
      const ends = chart && [byLabel.get(chart.from), byLabel.get(chart.to)];
      if (chart && ends?.[0] && ends[1]) {
        const [from, to] = [keyOf(chart.from), keyOf(chart.to)];
        if (from && to) {
          jobs.push({
            kind: 'spacing',
            key: betweenKey('spacing', [ends[0], ends[1], drawing]),
            place,
            from,
            to,
            of: key,
          });
        }
      }
      const before = boilPartner(level, drawing);
      const beforeKey = before && measureKey(before, mostGapPx);
      if (before && beforeKey) {
        jobs.push({
          kind: 'boil',
          key: betweenKey('boil', [before, drawing]),
          place,
          from: beforeKey,
          to: key,
        });
      }
      return jobs;
    });
  });
}

/** The drawing that a hold would flip from: the one before it in label order. */
export function boilPartner(level: Level, drawing: Drawing): Drawing | undefined {
  return level.drawings.reduce<Drawing | undefined>((best, other) => {
    if (compareLabels(other.label, drawing.label) >= 0 || !cleanOf(other)) return best;
    return best && compareLabels(best.label, other.label) > 0 ? best : other;
  }, undefined);
}
