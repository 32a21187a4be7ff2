/** What a file is, told by its first bytes and not by its name. */

export type PictureKind = 'png' | 'jpeg' | 'webp' | 'tiff';
export type FileKind = PictureKind | 'zip' | 'empty' | 'other';

export interface Sniffed {
  readonly kind: FileKind;
  /** In words, with its article: `a PNG picture`, `a PDF document`, `no picture this app knows`. */
  readonly words: string;
}

/** Bytes that `sniff` wants to see. */
export const sniffLength = 64;

export const mediaTypes: Readonly<Record<PictureKind, string>> = {
  png: 'image/png',
  jpeg: 'image/jpeg',
  webp: 'image/webp',
  tiff: 'image/tiff',
};

const extensions: Readonly<Record<PictureKind | 'zip', readonly string[]>> = {
  png: ['png', 'apng'],
  jpeg: ['jpg', 'jpeg', 'jpe', 'jfif'],
  webp: ['webp'],
  tiff: ['tif', 'tiff'],
  zip: ['zip'],
};

/** Signatures from the formats' own specifications; `.` in a pattern is any byte. */
const signatures: readonly (readonly [pattern: string, kind: FileKind, words: string])[] = [
  ['\x89PNG\r\n\x1a\n', 'png', 'a PNG picture'],
  ['\xff\xd8\xff', 'jpeg', 'a JPEG picture'],
  ['RIFF....WEBP', 'webp', 'a WebP picture'],
  ['II\x2a\0', 'tiff', 'a TIFF picture'],
  ['MM\0\x2a', 'tiff', 'a TIFF picture'],
  ['II\x2b\0', 'other', 'a TIFF picture of the large kind (BigTIFF)'],
  ['MM\0\x2b', 'other', 'a TIFF picture of the large kind (BigTIFF)'],
  ['PK\x03\x04', 'zip', 'a zip'],
  ['PK\x05\x06', 'zip', 'a zip'],
  ['GIF8', 'other', 'a GIF picture'],
  ['BM....\0\0\0\0', 'other', 'a BMP picture'],
  ['%PDF', 'other', 'a PDF document'],
  ['8BPS', 'other', 'a layered picture (PSD)'],
  ['\x76\x2f\x31\x01', 'other', 'an OpenEXR picture'],
  ['....ftypavi', 'other', 'an AVIF picture'],
  ['....ftyphei', 'other', 'a HEIC picture'],
  ['....ftypmif1', 'other', 'a HEIC picture'],
  ['....ftyp', 'other', 'a film'],
  ['\x1a\x45\xdf\xa3', 'other', 'a film'],
  ['....moov', 'other', 'a film'],
  ['Rar!', 'other', 'a RAR archive'],
  ['7z\xbc\xaf\x27\x1c', 'other', 'a 7z archive'],
  ['\x1f\x8b', 'other', 'a gzip archive'],
  ['<svg', 'other', 'an SVG drawing'],
  ['<?xml', 'other', 'an XML file'],
];

/** `head` holds the first bytes of a file, all of them when it is shorter than `sniffLength`. */
export function sniff(head: Uint8Array): Sniffed {
  if (head.length === 0) return { kind: 'empty', words: 'empty' };
  const found = signatures.find(([pattern]) => matches(head, pattern));
  return found ? { kind: found[1], words: found[2] } : { kind: 'other', words: 'no picture this app knows' };
}

function matches(head: Uint8Array, pattern: string): boolean {
  if (head.length < pattern.length) return false;
  for (let i = 0; i < pattern.length; i++)
    if (pattern[i] !== '.' && pattern.charCodeAt(i) !== head[i]) return false;
  return true;
}

export function isPicture(kind: FileKind): kind is PictureKind {
  return kind in mediaTypes;
}

/** The ending of a name, lower case, without its dot; empty where there is none. */
export function extensionOf(name: string): string {
  return /\.([\p{L}\p{N}]{1,8})$/u.exec(name)?.[1]?.toLowerCase() ?? '';
}

/** Whether a name ends as the content says; a name without an ending does. */
export function extensionFits(name: string, kind: PictureKind | 'zip'): boolean {
  const extension = extensionOf(name);
  // `sc04-tiedown.0007` ends in a number, not in a type.
  return extension === '' || /^\d+[a-z]?$/.test(extension) || extensions[kind].includes(extension);
}
