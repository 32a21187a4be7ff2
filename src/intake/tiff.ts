/** TIFF 6.0, by utif2, which is loaded only when a TIFF comes. */
import { checkSize, cutShort, damaged } from './limits.ts';
import type { Decoded } from './make-image.ts';
import { mediaTypes } from './sniff.ts';
import { isSoundLzw } from './tiff-lzw.ts';
import { turn } from './turn.ts';

type Directory = import('utif2').IFD;

/** Decodes the first picture of a file. Throws an `OddFileError` when it cannot. */
export async function decodeTiff(file: ArrayBuffer): Promise<Decoded> {
  checkDirectories(new DataView(file));
  const found = await import('utif2');
  // Node itself gives a CommonJS module as `default` only.
  type Decoder = Pick<typeof found, 'decode' | 'decodeImage' | 'toRGBA8'>;
  const utif = (found as unknown as { readonly default?: Decoder }).default ?? found;
  let data: Uint8Array;
  let picture: Directory;
  let pictures: Directory[];
  try {
    pictures = utif.decode(file).filter((directory) => directory['t256'] && directory['t257']);
  } catch (error) {
    throw damaged(error);
  }
  const [first] = pictures;
  if (!first) throw damaged();
  picture = first;
  const [width, height] = [number(picture, 't256'), number(picture, 't257')];
  checkSize(width, height);
  // No kind of picture has more; sizes that are made of them would be.
  if (number(picture, 't258', 1) > 64 || number(picture, 't277', 1) > 64) throw damaged();
  checkWhole(picture, file.byteLength);
  checkLzw(picture, new Uint8Array(file));
  try {
    utif.decodeImage(file, picture);
    data = number(picture, 't262') === separated ? fromInks(picture, width * height) : utif.toRGBA8(picture);
  } catch (error) {
    throw damaged(error);
  }
  addGreyAlpha(picture, data);
  const told = pictures.length > 1 ? [`it holds ${pictures.length} pictures; the first was taken`] : [];
  const upright = turn({ width, height, channels: 4, data }, number(picture, 't274', 1));
  return { picture: upright, mediaType: mediaTypes.tiff, told };
}

/** PhotometricInterpretation of inks: cyan, magenta, yellow, black (TIFF 6.0, section 16). */
const separated = 5;

/** Inks on paper without a profile: each holds back its colour, and black all of them. */
function fromInks(directory: Directory, pixels: number): Uint8Array {
  const samples = number(directory, 't277', 4);
  const bytes = number(directory, 't258', 8) / 8;
  if (samples < 4 || (bytes !== 1 && bytes !== 2)) throw damaged();
  const rgba = new Uint8Array(pixels * 4).fill(255);
  // Samples of 16 bits are little-endian by now: the high byte is the second.
  const ink = (i: number, c: number) => directory.data[(i * samples + c) * bytes + bytes - 1] ?? 0;
  for (let i = 0; i < pixels; i++)
    for (let c = 0; c < 3; c++) rgba[i * 4 + c] = Math.round(((255 - ink(i, c)) * (255 - ink(i, 3))) / 255);
  return rgba;
}

/** The chain of directories must end: the decoder follows it for ever when it leads back into itself. */
function checkDirectories(file: DataView): void {
  if (file.byteLength < 8) throw cutShort();
  const little = file.getUint8(0) === 0x49;
  const seen = new Set<number>();
  for (let at = 4; ; ) {
    if (at + 4 > file.byteLength) throw cutShort();
    const directory = file.getUint32(at, little);
    if (directory === 0) return;
    if (seen.has(directory)) throw damaged();
    if (directory + 2 > file.byteLength) throw cutShort();
    seen.add(directory);
    at = directory + 2 + file.getUint16(directory, little) * 12;
    if (at + 4 > file.byteLength) throw cutShort();
    // The decoder reads as many values as a field says it has, four thousand million if so.
    for (let field = directory + 2; field < at; field += 12)
      if (file.getUint32(field + 4, little) > file.byteLength) throw damaged();
  }
}

function number(directory: Directory, tag: string, otherwise = 0): number {
  const value = directory[tag];
  const first = Array.isArray(value) ? value[0] : undefined;
  return typeof first === 'number' ? first : otherwise;
}

function checkLzw(directory: Directory, file: Uint8Array): void {
  if (number(directory, 't259', 1) !== 5) return;
  for (const [offsets, counts] of strips) {
    const [starts, sizes] = [directory[offsets], directory[counts]];
    if (!Array.isArray(starts) || !Array.isArray(sizes)) continue;
    for (const [i, start] of starts.entries())
      if (!isSoundLzw(file, Number(start), Number(start) + Number(sizes[i] ?? 0))) throw damaged();
  }
}

/** Where strips and tiles begin, and how long they are. */
const strips = [
  ['t273', 't279'],
  ['t324', 't325'],
] as const;

/** Strips (or tiles) must lie within the file: the decoder leaves what is missing black. */
function checkWhole(directory: Directory, byteLength: number): void {
  for (const [offsets, counts] of strips) {
    const [starts, sizes] = [directory[offsets], directory[counts]];
    if (!Array.isArray(starts) || !Array.isArray(sizes)) continue;
    if (starts.some((start, i) => Number(start) + Number(sizes[i] ?? 0) > byteLength)) throw cutShort();
  }
}

/** utif2 leaves out the transparency of grey pictures. */
function addGreyAlpha(directory: Directory, rgba: Uint8Array): void {
  const [samples, depth] = [number(directory, 't277', 1), number(directory, 't258', 1)];
  if (number(directory, 't262') > 1 || samples !== 2 || (depth !== 8 && depth !== 16)) return;
  const bytes = depth / 8;
  // Samples of 16 bits are little-endian by now: the high byte is the second.
  for (let i = 0; i < rgba.length / 4; i++)
    rgba[i * 4 + 3] = directory.data[(i * 2 + 1) * bytes + bytes - 1] ?? 255;
}
