/** What a JPEG file (ITU-T T.81) says of itself before it is decoded. */
import { cutShort, damaged } from './limits.ts';

export interface JpegHeader {
  /** As stored, before any turning. */
  readonly width: number;
  readonly height: number;
  /** EXIF orientation, 1 to 8: 5 to 8 swap width and height. */
  readonly orientation: number;
}

/**
 * Walks the whole file: size and orientation from its segments, and an end marker where the picture ends.
 * Throws an `OddFileError` when it is cut short (decoders fill the rest with grey and say nothing).
 */
export function readJpegHeader(file: Uint8Array): JpegHeader {
  let [width, height, orientation] = [0, 0, 1];
  for (let at = 2; ; ) {
    const marker = nextMarker(file, at);
    const code = file[marker] ?? 0;
    // Restart markers and TEM stand alone, without a length.
    if (code === 0xd9) break;
    if ((code >= 0xd0 && code <= 0xd7) || code === 0x01) {
      at = marker + 1;
      continue;
    }
    const length = ((file[marker + 1] ?? 0) << 8) | (file[marker + 2] ?? 0);
    const body = file.subarray(marker + 3, marker + 1 + length);
    const isFrame = code >= 0xc0 && code <= 0xcf && code !== 0xc4 && code !== 0xc8 && code !== 0xcc;
    if (isFrame && width === 0) {
      height = ((body[1] ?? 0) << 8) | (body[2] ?? 0);
      width = ((body[3] ?? 0) << 8) | (body[4] ?? 0);
    } else if (code === 0xe1) orientation = exifOrientation(body) ?? orientation;
    at = marker + 1 + Math.max(2, length);
  }
  if (width === 0 || height === 0) throw damaged();
  return { width, height, orientation };
}

/** Place of the code of the next marker from `at` on, past entropy-coded data. */
function nextMarker(file: Uint8Array, at: number): number {
  for (let i = file.indexOf(0xff, at); i >= 0; i = file.indexOf(0xff, i + 1)) {
    const code = file[i + 1];
    if (code === undefined) break;
    if (code !== 0 && code !== 0xff) return i + 1;
  }
  throw cutShort();
}

/** Tag 0x0112 of the first directory of an EXIF segment. */
function exifOrientation(body: Uint8Array): number | undefined {
  if (String.fromCharCode(...body.subarray(0, 6)) !== 'Exif\0\0' || body.length < 14) return undefined;
  const tiff = new DataView(body.buffer, body.byteOffset + 6, body.byteLength - 6);
  const little = tiff.getUint16(0) === 0x49_49;
  const directory = tiff.getUint32(4, little);
  if (directory + 2 > tiff.byteLength) return undefined;
  const count = tiff.getUint16(directory, little);
  for (let i = 0; i < count; i++) {
    const entry = directory + 2 + i * 12;
    if (entry + 12 > tiff.byteLength) return undefined;
    const value = tiff.getUint16(entry + 8, little);
    if (tiff.getUint16(entry, little) === 0x01_12) return value >= 1 && value <= 8 ? value : undefined;
  }
  return undefined;
}
