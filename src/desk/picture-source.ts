/** The stage's pixels, from the shelf. */
import type { Shelf } from '../shelf/types.ts';
import type { PictureSource } from '../stage/types.ts';

export function pictureSource(shelf: Shelf): PictureSource {
  return {
    thumb: (image) => shelf.picture(image.sha256, 'thumb'),
    flip: (image) => shelf.picture(image.sha256, 'flip'),
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
