/** Any picture file to pixels, in a page's worker. */
import { bitmapOf } from './as-stored.ts';
import type { Buffers } from './buffers.ts';
import { endMissing, firstFrameOnly, readHeader } from './header.ts';
import { damaged } from './limits.ts';
import type { Decoded } from './make-image.ts';
import { decodePng } from './png.ts';
import { isPicture, mediaTypes, sniff, sniffLength } from './sniff.ts';
import { OddFileError } from './source.ts';

/** Decodes a whole file by what it is, a PNG into `buffers`. Throws an `OddFileError` that says why it cannot be taken. */
export async function decode(file: ArrayBuffer, buffers?: Buffers): Promise<Decoded> {
  const bytes = new Uint8Array(file);
  const { kind, words } = sniff(bytes.subarray(0, sniffLength));
  if (!isPicture(kind)) throw new OddFileError(`it is ${words}`, 'Export it as PNG.');
  if (kind === 'tiff') return (await import('./tiff.ts')).decodeTiff(file);
  if (kind === 'png') {
    const { animated, endless, ...picture } = decodePng(bytes, buffers);
    const told = [...(animated ? [firstFrameOnly] : []), ...(endless ? [endMissing] : [])];
    return { picture, mediaType: mediaTypes.png, told };
  }
  const header = readHeader(kind, bytes);
  const picture = await decodeByBrowser(file);
  return { picture, mediaType: mediaTypes[kind], told: header?.animated ? [firstFrameOnly] : [] };
}

/** JPEG and WebP: upright, as stored (no colour management), laid on white. */
async function decodeByBrowser(file: ArrayBuffer): Promise<Decoded['picture']> {
  let bitmap: ImageBitmap;
  try {
    bitmap = await bitmapOf(file);
  } catch (error) {
    throw damaged(error);
  }
  const { width, height } = bitmap;
  const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true });
  if (!context)
    throw new OddFileError('there was no memory left to decode it', 'Close other tabs and take it in again.');
  // A canvas keeps pixels premultiplied, so reading transparent ones back would change them.
  context.fillStyle = '#fff';
  context.fillRect(0, 0, width, height);
  context.drawImage(bitmap, 0, 0);
  bitmap.close();
  const { data } = context.getImageData(0, 0, width, height);
  return { width, height, channels: 4, data: new Uint8Array(data.buffer) };
}
