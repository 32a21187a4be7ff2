/** Drawings from the shelf, decoded to be painted: on the list, in print, as pictures. */
import { canvasOf, type Decoded } from '../../export/canvas.ts';
import { bitmapOf } from '../../intake/as-stored.ts';
import type { Shelf } from '../../shelf/types.ts';

/** Flip size (long edge ≤ 2048), or what there is of it; undefined when the drawing is not kept here. */
export async function flipSized(shelf: Shelf, sha256: string): Promise<Decoded | undefined> {
  const flip = await shelf.picture(sha256, 'flip');
  if (flip) return canvasOf(flip);
  const full = await decodedFile(shelf, sha256);
  if (full) return full;
  const thumb = await shelf.picture(sha256, 'thumb');
  return thumb && canvasOf(thumb);
}

/** Full size where the browser can decode the file (it cannot decode TIFF), else flip size. */
export async function fullSized(shelf: Shelf, sha256: string): Promise<Decoded | undefined> {
  return (await decodedFile(shelf, sha256)) ?? flipSized(shelf, sha256);
}

async function decodedFile(shelf: Shelf, sha256: string): Promise<ImageBitmap | undefined> {
  const file = await shelf.file(sha256);
  return file && bitmapOf(file).catch(() => undefined);
}

/** The last drawing is kept at hand: neighbouring rows often speak of the same one. */
export function rememberingLast(
  decode: (sha256: string) => Promise<Decoded | undefined>,
): (sha256: string) => Promise<Decoded | undefined> {
  let last: { readonly sha256: string; readonly decoded: Promise<Decoded | undefined> } | undefined;
  return (sha256) => {
    if (last?.sha256 === sha256) return last.decoded;
    const asked = { sha256, decoded: decode(sha256) };
    last = asked;
    // What failed, or is not kept here yet, is asked for again.
    const forget = (): void => {
      if (last === asked) last = undefined;
    };
    asked.decoded.then((decoded) => decoded ?? forget(), forget);
    return asked.decoded;
  };
}
