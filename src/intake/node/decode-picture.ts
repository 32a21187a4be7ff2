/** Full-size pictures at the prompt and on the server, decoded by `sharp`. */
import { readFile } from 'node:fs/promises';
import sharp, { type OutputInfo } from 'sharp';
import type { Picture } from '../../line/picture.ts';
import { damaged, mostPixels } from '../limits.ts';
import { onPaper } from '../on-paper.ts';
import { isPicture, sniff, sniffLength } from '../sniff.ts';
import { OddFileError } from '../source.ts';
import { checkWholeFile } from './whole-file.ts';

/**
 * Decodes a file (its path or its bytes) at full size, turned upright as it asks: one channel on white paper
 * when every pixel is grey, else R, G, B, A, not premultiplied. 16-bit samples keep their high byte; of an
 * animation or a file of several pictures the first is taken. Rejects with an `OddFileError`.
 */
export async function decodePicture(file: string | Uint8Array): Promise<Picture> {
  const bytes = typeof file === 'string' ? await readFile(file) : file;
  const { kind, words } = sniff(bytes.subarray(0, sniffLength));
  if (!isPicture(kind)) throw new OddFileError(`it is ${words}`, 'Export it as PNG.');
  checkWholeFile(kind, bytes);
  let raw: { data: Buffer; info: OutputInfo };
  try {
    raw = await sharp(bytes, {
      limitInputPixels: mostPixels,
      failOn: 'truncated',
      ignoreIcc: kind !== 'jpeg',
    })
      .autoOrient()
      .toColourspace('srgb')
      .ensureAlpha()
      .raw()
      .toBuffer({ resolveWithObject: true });
  } catch (error) {
    throw damaged(error);
  }
  const { width, height } = raw.info;
  const rgba = new Uint8Array(raw.data.buffer, raw.data.byteOffset, raw.data.byteLength);
  const coloured = { width, height, channels: 4, data: rgba } as const;
  // Laying on paper changes its argument; the coloured original must keep its transparency.
  const paper = onPaper({ ...coloured, data: rgba.slice() });
  return paper.channels === 1 ? paper : coloured;
}
