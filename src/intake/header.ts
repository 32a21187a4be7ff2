/** A picture's size and completeness, told without decoding it. */
import { readJpegHeader } from './jpeg.ts';
import { checkSize } from './limits.ts';
import { mediaTypes, type PictureKind } from './sniff.ts';
import { readWebpHeader } from './webp.ts';

export interface PictureHeader {
  /** Upright: turned as the file asks. */
  readonly width: number;
  readonly height: number;
  readonly mediaType: string;
  readonly animated: boolean;
}

/**
 * Header of a whole JPEG, WebP or PNG file; undefined for TIFF, whose header only its decoder reads.
 * Throws an `OddFileError` for a file that is cut short or too large to decode.
 */
export function readHeader(kind: PictureKind, file: Uint8Array): PictureHeader | undefined {
  if (kind === 'tiff') return undefined;
  const { width, height, animated } =
    kind === 'jpeg' ? uprightJpeg(file) : kind === 'webp' ? readWebpHeader(file) : pngSize(file);
  checkSize(width, height);
  return { width, height, animated, mediaType: mediaTypes[kind] };
}

function uprightJpeg(file: Uint8Array): { width: number; height: number; animated: boolean } {
  const { width, height, orientation } = readJpegHeader(file);
  const turned = orientation >= 5;
  return { width: turned ? height : width, height: turned ? width : height, animated: false };
}

function pngSize(file: Uint8Array): { width: number; height: number; animated: boolean } {
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  const whole = file.length >= 24;
  return { width: whole ? view.getUint32(16) : 0, height: whole ? view.getUint32(20) : 0, animated: false };
}

/** Said of a PNG that was cut between its pixels and its end. */
export const endMissing = 'its last few bytes are missing; the picture itself is whole';

/** Said of a file of which only the first of several pictures was taken. */
export const firstFrameOnly = 'it is animated; its first frame was taken';
