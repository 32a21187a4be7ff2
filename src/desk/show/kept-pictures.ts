/** Pictures from the shelf as exports want them: on paper, on the size asked for. */
import { canvasOf, contextOf } from '../../export/canvas.ts';
import { bitmapOf } from '../../intake/as-stored.ts';
import { onPaper } from '../../intake/on-paper.ts';
import { reduce } from '../../intake/reduce.ts';
import type { Picture } from '../../line/picture.ts';
import type { Shelf } from '../../shelf/types.ts';
import type { ImageRef } from '../../shot/model.ts';

/** The smallest that is kept and large enough, made smaller; undefined when the picture is not kept here. */
export async function keptPicture(
  shelf: Shelf,
  image: ImageRef,
  longEdgePx: number,
): Promise<Picture | undefined> {
  const wanted = Math.min(longEdgePx, Math.max(image.width, image.height));
  for (const size of ['thumb', 'flip'] as const) {
    const picture = await shelf.picture(image.sha256, size);
    if (picture && longEdge(picture) >= wanted) return reduce(onPaper(picture), wanted);
  }
  const full = await decoded(shelf, image.sha256);
  if (full) return reduce(full, wanted);
  // The browser decodes no TIFF: what is kept of it is made larger.
  const smaller = (await shelf.picture(image.sha256, 'flip')) ?? (await shelf.picture(image.sha256, 'thumb'));
  return smaller && enlarged(onPaper(smaller), wanted / longEdge(smaller));
}

const longEdge = ({ width, height }: Pick<Picture, 'width' | 'height'>): number => Math.max(width, height);

async function decoded(shelf: Shelf, sha256: string): Promise<Picture | undefined> {
  const file = await shelf.file(sha256);
  const bitmap = file && (await bitmapOf(file).catch(() => undefined));
  if (!bitmap) return undefined;
  const { width, height } = bitmap;
  const context = contextOf(new OffscreenCanvas(width, height));
  context.drawImage(bitmap, 0, 0);
  bitmap.close();
  return pixelsOf(context, width, height);
}

function enlarged(picture: Picture, scale: number): Picture {
  const [width, height] = [Math.round(picture.width * scale), Math.round(picture.height * scale)];
  const context = contextOf(new OffscreenCanvas(width, height));
  context.imageSmoothingQuality = 'high';
  context.drawImage(canvasOf(picture), 0, 0, width, height);
  return pixelsOf(context, width, height);
}

function pixelsOf(context: OffscreenCanvasRenderingContext2D, width: number, height: number): Picture {
  const { data } = context.getImageData(0, 0, width, height);
  return onPaper({ width, height, channels: 4, data: new Uint8Array(data.buffer) });
}
