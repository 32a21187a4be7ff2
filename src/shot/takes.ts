/** A drawing's clean-ups, one after the other. */
import { type DrawingRef, drawingKey, drawingsByKey } from './drawing-ref.ts';
import type { Drawing, ImageRef, Shot } from './model.ts';

/**
 * The drawing with `image` as its newest take. The same drawing, unchanged, when any of its takes has
 * these bytes already: taking a folder in twice makes no retakes.
 */
export function addTake(drawing: Drawing, image: ImageRef): Drawing {
  if (drawing.takes.some((take) => take.image.sha256 === image.sha256)) return drawing;
  const number = (drawing.takes.at(-1)?.number ?? 0) + 1;
  return { ...drawing, takes: [...drawing.takes, { number, image }] };
}

/** The clean drawing: the newest take's image. */
export function cleanOf(drawing: Drawing): ImageRef | undefined {
  return drawing.takes.at(-1)?.image;
}

export interface Retaken extends DrawingRef {
  /** Number of the newest take. */
  readonly take: number;
}

/** Drawings of `after` that had a clean-up in `before` and have a newer one now, in the order of the shot. */
export function retakenIn(before: Shot, after: Shot): Retaken[] {
  const known = drawingsByKey(before);
  return after.levels.flatMap(({ name, drawings }) =>
    drawings.flatMap(({ label, takes }): Retaken[] => {
      const at = { level: name, drawing: label };
      const was = known.get(drawingKey(at))?.takes.at(-1);
      const now = takes.at(-1);
      return was && now && now.number > was.number ? [{ ...at, take: now.number }] : [];
    }),
  );
}
