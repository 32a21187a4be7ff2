/** What a WebP file (Google's container specification, RFC 9649) says of itself before it is decoded. */
import { cutShort, damaged } from './limits.ts';

export interface WebpHeader {
  readonly width: number;
  readonly height: number;
  readonly animated: boolean;
}

/** Reads the first chunk. Throws an `OddFileError` when the file is shorter than it says. */
export function readWebpHeader(file: Uint8Array): WebpHeader {
  if (file.length < 30) throw cutShort();
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  if (view.getUint32(4, true) + 8 > file.length) throw cutShort();
  const chunk = String.fromCharCode(...file.subarray(12, 16));
  const uint24 = (at: number) => view.getUint16(at, true) | (view.getUint8(at + 2) << 16);
  if (chunk === 'VP8X')
    return { width: uint24(24) + 1, height: uint24(27) + 1, animated: (view.getUint8(20) & 2) !== 0 };
  if (chunk === 'VP8L') {
    const bits = view.getUint32(21, true);
    return { width: (bits & 0x3f_ff) + 1, height: ((bits >>> 14) & 0x3f_ff) + 1, animated: false };
  }
  if (chunk !== 'VP8 ') throw damaged();
  return {
    width: view.getUint16(26, true) & 0x3f_ff,
    height: view.getUint16(28, true) & 0x3f_ff,
    animated: false,
  };
}
