/** The stage's pixels, from the shelf. */
import { bitmapOf } from '../intake/as-stored.ts';
import { createImageMaker } from '../intake/image-maker.ts';
import type { Picture } from '../line/picture.ts';
import type { Shelf } from '../shelf/types.ts';
import type { ImageRef } from '../shot/model.ts';
import type { PictureSource } from '../stage/types.ts';

/** As many as are decoded at once; in no budget, so few. */
const sparesMost = 4;

/** `made`: pictures that are on no shelf (see `Session`), in flip size alone. */
export function pictureSource(shelf: Shelf, made: ReadonlyMap<string, Picture>): PictureSource {
  /** Memory of pictures of the shelf that were drawn: most drawings of a shot have one size. */
  const spares: Uint8Array[] = [];
  const fromShelf = new WeakSet<Picture>();
  const takeSpare = (byteLength: number): Uint8Array | undefined => {
    const at = spares.findIndex(({ length }) => length === byteLength);
    return at < 0 ? undefined : spares.splice(at, 1)[0];
  };
  const kept = async ({ sha256 }: ImageRef): Promise<Picture | undefined> => {
    const picture = await shelf.picture(sha256, 'flip', takeSpare);
    if (picture) fromShelf.add(picture);
    return picture;
  };
  return {
    thumb: (image) => shelf.picture(image.sha256, 'thumb'),
    flip: async (image, signal) =>
      made.get(image.sha256) ?? (await kept(image)) ?? (await flipMadeAgain(shelf, image, signal)),
    spent(picture) {
      // Made pictures are held elsewhere.
      if (!fromShelf.delete(picture)) return;
      spares.push(picture.data);
      if (spares.length > sparesMost) spares.shift();
    },
    async full(image, signal) {
      const file = await shelf.file(image.sha256);
      if (!file || signal.aborted) return undefined;
      // A kind of file that the browser itself cannot decode (TIFF) stays at flip size.
      return bitmapOf(file).catch(() => undefined);
    },
  };
}

/** A flip picture that the shelf let go, from its file; kept again where there is room. */
async function flipMadeAgain(shelf: Shelf, ref: ImageRef, signal: AbortSignal): Promise<Picture | undefined> {
  const file = await shelf.file(ref.sha256);
  if (!file || signal.aborted) return undefined;
  const maker = createImageMaker({ workers: 1 });
  try {
    const { flip, thumb, file: bytes } = await maker.make(file, { signal });
    await shelf.keepImage({ ref, file: bytes, thumb, flip }).catch(() => undefined);
    return flip;
  } finally {
    maker.close();
  }
}
