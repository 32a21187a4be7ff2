/** The stage's pixels, from the shelf. */
import type { Picture } from '../line/picture.ts';
import type { Shelf } from '../shelf/types.ts';
import type { PictureSource } from '../stage/types.ts';

/** `made`: pictures that are on no shelf (see `Session`), in flip size alone. */
export function pictureSource(shelf: Shelf, made: ReadonlyMap<string, Picture>): PictureSource {
  return {
    thumb: (image) => shelf.picture(image.sha256, 'thumb'),
    flip: async ({ sha256 }) => made.get(sha256) ?? shelf.picture(sha256, 'flip'),
    async full(image, signal) {
      const file = await shelf.file(image.sha256);
      if (!file || signal.aborted) return undefined;
      // A kind of file that the browser itself cannot decode (TIFF) stays at flip size.
      return createImageBitmap(new Blob([file], { type: image.mediaType }), {
        premultiplyAlpha: 'none',
        colorSpaceConversion: 'none',
      }).catch(() => undefined);
    },
  };
}
