import type { ImageRef, Shot } from './model.ts';

/** Every picture of a shot once: roughs and all takes. */
export function imagesOf({ levels }: Pick<Shot, 'levels'>): ImageRef[] {
  const drawings = levels.flatMap((level) => level.drawings);
  const images = drawings.flatMap(({ rough, takes }) => [
    ...(rough ? [rough] : []),
    ...takes.map((take) => take.image),
  ]);
  return [...new Map(images.map((image) => [image.sha256, image])).values()];
}
