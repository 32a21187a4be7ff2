/** Which drawing is on screen at which frame. The first frame of a shot is 1. */
import { compareLabels } from './labels.ts';
import type { Exposure, Level } from './model.ts';

/** Exposures guessed in label order, each held for `length` frames (on twos unless told otherwise). */
export function guessExposures(labels: readonly string[], length = 2): Exposure[] {
  return [...labels]
    .sort(compareLabels)
    .map((drawing, index) => ({ drawing, frame: 1 + index * length, length }));
}

/** The exposure on screen at `frame`, or undefined where the level shows nothing. */
export function exposureAt(level: Level, frame: number): Exposure | undefined {
  // Binary search: sheets of a thousand frames are asked sixty times a second.
  let [low, high] = [0, level.exposures.length - 1];
  while (low <= high) {
    const middle = (low + high) >> 1;
    const exposure = level.exposures[middle];
    if (!exposure) return undefined;
    if (frame < exposure.frame) high = middle - 1;
    else if (frame >= exposure.frame + exposure.length) low = middle + 1;
    else return exposure;
  }
  return undefined;
}

/** Label of the drawing on screen at `frame`. */
export function drawingAt(level: Level, frame: number): string | undefined {
  return exposureAt(level, frame)?.drawing;
}

/** Every exposure of one drawing, ascending by frame. */
export function exposuresOf(level: Level, label: string): Exposure[] {
  return level.exposures.filter((exposure) => exposure.drawing === label);
}

/** First frame of each exposed drawing. */
export function firstFrames(level: Level): ReadonlyMap<string, number> {
  const first = new Map<string, number>();
  for (const { drawing, frame } of level.exposures) if (!first.has(drawing)) first.set(drawing, frame);
  return first;
}

/** Labels in the order they first come on screen; drawings not exposed follow in label order. */
export function labelsInScreenOrder(level: Level): string[] {
  const first = firstFrames(level);
  return level.drawings
    .map((drawing) => drawing.label)
    .sort((a, b) => (first.get(a) ?? Infinity) - (first.get(b) ?? Infinity) || compareLabels(a, b));
}

/** Last frame on which any level shows something; 0 for a shot without exposures. */
export function lastFrame(shot: { readonly levels: readonly Level[] }): number {
  const ends = shot.levels.map((level) => {
    const last = level.exposures.at(-1);
    return last ? last.frame + last.length - 1 : 0;
  });
  return Math.max(0, ...ends);
}

/**
 * Holds the exposure that starts at `frame` for `length` frames (≥ 1) and moves all that follow by the
 * difference, so gaps and later holds keep their lengths. Unchanged when nothing starts at `frame`.
 */
export function hold(exposures: readonly Exposure[], frame: number, length: number): Exposure[] {
  const held = exposures.find((exposure) => exposure.frame === frame);
  const longer = held ? Math.max(1, Math.trunc(length)) - held.length : 0;
  return exposures.map((exposure) => {
    if (exposure === held) return { ...exposure, length: exposure.length + longer };
    return exposure.frame > frame ? { ...exposure, frame: exposure.frame + longer } : exposure;
  });
}
