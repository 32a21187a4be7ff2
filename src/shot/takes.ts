/** A drawing's clean-ups, one after the other. */
import type { Drawing, ImageRef } from './model.ts';

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
