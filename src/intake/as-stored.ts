/**
 * A picture file for the browser's decoder, without what the file says of its colours. WebKit applies profiles and
 * gamma though it is asked for `colorSpaceConversion: 'none'`: then a drawing looks lighter at full size than at flip
 * size, and is measured so. What a picture shows is left as it is, byte by byte.
 */
import { join } from './join.ts';
import { sniff, sniffLength } from './sniff.ts';

type Part = Uint8Array<ArrayBuffer>;

/** The file as a blob of its own kind; one that is no sound PNG, JPEG or WebP comes back whole. */
export function asStored(file: ArrayBuffer): Blob {
  const bytes = new Uint8Array(file);
  const { kind } = sniff(bytes.subarray(0, sniffLength));
  const parts =
    kind === 'png'
      ? pngParts(bytes)
      : kind === 'jpeg'
        ? jpegParts(bytes)
        : kind === 'webp'
          ? webpParts(bytes)
          : [bytes];
  // In one piece: Firefox knows a picture by the first piece of a blob, and refuses one of two bytes.
  return new Blob([join(parts)], { type: `image/${kind}` });
}

const textAt = (bytes: Uint8Array, at: number, length: number): string =>
  String.fromCharCode(...bytes.subarray(at, at + length));

/**
 * W3C PNG 3rd edition: critical chunks and tRNS. Colour (gAMA, iCCP, cHRM, sRGB, cICP), turning (eXIf) and further
 * frames (APNG) are in the others, and the app's own decoder reads none of them either.
 */
function pngParts(bytes: Part): Part[] {
  const view = new DataView(bytes.buffer);
  const parts = [bytes.subarray(0, 8)];
  for (let at = 8; at < bytes.length; ) {
    const end = at + 8 <= bytes.length ? at + 12 + view.getUint32(at) : Number.POSITIVE_INFINITY;
    // What is cut short is the decoder's to judge.
    if (end > bytes.length) return [...parts, bytes.subarray(at)];
    if (/^([A-Z].{3}|tRNS)$/.test(textAt(bytes, at + 4, 4))) parts.push(bytes.subarray(at, end));
    at = end;
  }
  return parts;
}

/** ITU-T T.81 and ICC.1, annex B.4: all but the APP2 segments that hold a profile. */
function jpegParts(bytes: Part): Part[] {
  const parts: Part[] = [];
  let from = 0;
  for (let at = 2; bytes[at] === 0xff; ) {
    const marker = bytes[at + 1] ?? 0;
    // From the first scan on all is picture; a fill byte stands alone.
    if (marker === 0xda || marker === 0xd9) break;
    const end = marker === 0xff ? at + 1 : at + 2 + ((bytes[at + 2] ?? 0) << 8) + (bytes[at + 3] ?? 0);
    if (marker === 0xe2 && textAt(bytes, at + 4, 12) === 'ICC_PROFILE\0') {
      parts.push(bytes.subarray(from, at));
      from = end;
    }
    at = Math.max(end, at + 1);
  }
  return [...parts, bytes.subarray(from)];
}

/** RFC 9649: all but the chunk ICCP, with the sizes and flags that go with it. */
function webpParts(bytes: Part): Part[] {
  const hasProfile = 0x20;
  if (textAt(bytes, 12, 4) !== 'VP8X' || ((bytes[20] ?? 0) & hasProfile) === 0) return [bytes];
  const view = new DataView(bytes.buffer);
  const chunks: Part[] = [];
  for (let at = 12; at + 8 <= bytes.length; ) {
    const length = view.getUint32(at + 4, true);
    const end = at + 8 + length + (length & 1);
    if (textAt(bytes, at, 4) !== 'ICCP') chunks.push(bytes.subarray(at, end));
    at = end;
  }
  const first = chunks[0]?.slice() ?? new Uint8Array();
  first[8] = (first[8] ?? 0) & ~hasProfile;
  const head = bytes.slice(0, 12);
  const size = chunks.reduce((sum, { length }) => sum + length, 4);
  new DataView(head.buffer).setUint32(4, size, true);
  return [head, first, ...chunks.slice(1)];
}

/** Decoded by the browser: upright, with the numbers as the file has them. Rejects where it cannot. */
export const bitmapOf = (file: ArrayBuffer): Promise<ImageBitmap> =>
  createImageBitmap(asStored(file), { premultiplyAlpha: 'none', colorSpaceConversion: 'none' });
