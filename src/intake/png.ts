/**
 * PNG (W3C PNG 3rd edition): every colour type, depth and interlace, decoded here rather than by the
 * browser. A browser hands pixels out premultiplied and colour-managed, which changes faint pencil, and
 * takes several times as long.
 */
import { unzlibSync } from 'fflate';
import { crc32 } from '../line/crc32.ts';
import { type Buffers, freshBuffers } from './buffers.ts';
import { join } from './join.ts';
import { checkSize, cutShort, damaged } from './limits.ts';
import { unfilter } from './png-filter.ts';

export interface DecodedPng {
  readonly width: number;
  readonly height: number;
  /** 1: grey without transparency. 4: R, G, B, A, not premultiplied. */
  readonly channels: 1 | 4;
  readonly data: Uint8Array;
  /** An APNG: `data` is its default picture, the first frame in all but odd files. */
  readonly animated: boolean;
  /** The chunk that ends a PNG is missing, though no pixel is. */
  readonly endless: boolean;
}

export interface Header {
  readonly width: number;
  readonly height: number;
  readonly depth: number;
  readonly colour: number;
  readonly interlaced: boolean;
  readonly samples: number;
}

export interface Chunks {
  readonly header: Header;
  readonly palette?: Uint8Array;
  readonly transparency?: Uint8Array;
  readonly pixels: Uint8Array;
  readonly animated: boolean;
  readonly endless: boolean;
  /** What says how its numbers are to be shown, whole, in its order. */
  readonly shown: readonly Uint8Array[];
}

/** Colour space and size on paper (11.3.2, 11.3.4.3). */
const showing: ReadonlySet<string> = new Set(['cHRM', 'gAMA', 'iCCP', 'sRGB', 'cICP', 'pHYs']);

const samplesOf: Readonly<Record<number, number>> = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 };

/**
 * Decodes a whole file; `data` lies in `buffers`. 16-bit samples keep their high byte, as other decoders do. Throws an
 * `OddFileError` when the file is cut short, damaged (checksums are checked) or too large.
 */
export function decodePng(file: Uint8Array, buffers: Buffers = freshBuffers): DecodedPng {
  const chunks = readChunks(file);
  const { header } = chunks;
  const passes = header.interlaced ? adam7(header) : [whole(header)];
  const raw = inflate(chunks.pixels, passes, buffers);
  const channels = header.colour === 0 && !chunks.transparency ? 1 : 4;
  const data = buffers.pixels(header.width * header.height * channels);
  const lookUp = header.colour === 3 ? paletteColours(chunks) : undefined;
  let offset = 0;
  for (const pass of passes) {
    const rowBytes = pass.rowBytes;
    const bytesPerPixel = Math.max(1, (header.samples * header.depth) >> 3);
    unfilter(raw, offset, pass.height, rowBytes, bytesPerPixel);
    for (let y = 0; y < pass.height; y++) {
      const row = raw.subarray(offset + y * (rowBytes + 1) + 1, offset + (y + 1) * (rowBytes + 1));
      const start = ((pass.y + y * pass.stepY) * header.width + pass.x) * channels;
      if (pass.stepX === 1 && header.depth === 8 && header.samples === channels) data.set(row, start);
      else if (pass.stepX === 1 && header.depth === 8 && header.colour === 2 && !chunks.transparency)
        writeRgb(row, data, start);
      else if (pass.stepX === 1 && header.depth === 8 && lookUp) writeIndexed(row, lookUp, data, start);
      else writeRow(row, pass, { header, lookUp, key: chunks.transparency }, data, start, channels);
    }
    offset += pass.height * (rowBytes + 1);
  }
  return {
    width: header.width,
    height: header.height,
    channels,
    data,
    animated: chunks.animated,
    endless: chunks.endless,
  };
}

/** Walks a whole file: header and checksums of critical chunks are checked, nothing is inflated. */
export function readChunks(file: Uint8Array): Chunks {
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  let header: Header | undefined;
  let palette: Uint8Array | undefined;
  let transparency: Uint8Array | undefined;
  let animated = false;
  let endless = false;
  const parts: Uint8Array[] = [];
  const shown: Uint8Array[] = [];
  for (let at = 8; ; ) {
    // Cut between two chunks, once there are pixels: whether all are there is seen when they are inflated.
    if (at === file.length && parts.length > 0) {
      endless = true;
      break;
    }
    if (at + 12 > file.length) throw cutShort();
    const end = at + 8 + view.getUint32(at);
    if (end + 4 > file.length) throw cutShort();
    const type = String.fromCharCode(...file.subarray(at + 4, at + 8));
    const body = file.subarray(at + 8, end);
    // Critical chunks begin with a capital; a wrong checksum in a comment is no reason to refuse a drawing.
    if (/^[A-Z]/.test(type) && crc32(file.subarray(at + 4, end)) !== view.getUint32(end)) throw damaged();
    if (type === 'IHDR') header = readHeader(body);
    else if (type === 'PLTE') palette = body;
    else if (type === 'tRNS') transparency = body;
    else if (type === 'acTL') animated = true;
    else if (showing.has(type)) shown.push(file.subarray(at, end + 4));
    else if (type === 'IDAT') parts.push(body);
    else if (type === 'IEND') break;
    at = end + 4;
  }
  if (!header || parts.length === 0) throw damaged();
  return { header, palette, transparency, pixels: join(parts), animated, endless, shown };
}

function readHeader(body: Uint8Array): Header {
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  if (body.length < 13) throw damaged();
  const [width, height] = [view.getUint32(0), view.getUint32(4)];
  const [depth = 0, colour = 0, , , interlace = 0] = body.subarray(8);
  const samples = samplesOf[colour];
  const depths = colour === 0 ? [1, 2, 4, 8, 16] : colour === 3 ? [1, 2, 4, 8] : [8, 16];
  if (!samples || !depths.includes(depth) || interlace > 1) throw damaged();
  checkSize(width, height);
  return { width, height, depth, colour, interlaced: interlace === 1, samples };
}

interface Pass {
  readonly x: number;
  readonly y: number;
  readonly stepX: number;
  readonly stepY: number;
  readonly width: number;
  readonly height: number;
  readonly rowBytes: number;
}

function pass(header: Header, x: number, y: number, stepX: number, stepY: number): Pass {
  const width = Math.ceil((header.width - x) / stepX);
  const height = Math.ceil((header.height - y) / stepY);
  return { x, y, stepX, stepY, width, height, rowBytes: (width * header.samples * header.depth + 7) >> 3 };
}

export function whole(header: Header): Pass {
  return pass(header, 0, 0, 1, 1);
}

/** The seven passes of Adam7; those without pixels in a small picture are left out. */
export function adam7(header: Header): Pass[] {
  const grid = [
    [0, 0, 8, 8],
    [4, 0, 8, 8],
    [0, 4, 4, 8],
    [2, 0, 4, 4],
    [0, 2, 2, 4],
    [1, 0, 2, 2],
    [0, 1, 1, 2],
  ] as const;
  return grid
    .map(([x, y, stepX, stepY]) => pass(header, x, y, stepX, stepY))
    .filter(({ width, height }) => width > 0 && height > 0);
}

/** Inflates into exactly the room the header promises, so a bomb has nowhere to go. */
export function inflate(pixels: Uint8Array, passes: readonly Pass[], buffers: Buffers): Uint8Array {
  const size = passes.reduce((sum, { height, rowBytes }) => sum + height * (rowBytes + 1), 0);
  let raw: Uint8Array;
  try {
    raw = unzlibSync(pixels, { out: buffers.raw(size) });
  } catch (error) {
    throw damaged(error);
  }
  if (raw.length < size) throw cutShort();
  return raw;
}

/** R, G, B, A of each palette index, 256 entries; indices beyond the palette are black, as decoders do. */
export function paletteColours({ palette, transparency }: Chunks): Uint8Array {
  if (!palette) throw damaged();
  const colours = new Uint8Array(1024);
  for (let i = 0; i < 256; i++) {
    colours.set(palette.subarray(i * 3, i * 3 + 3), i * 4);
    colours[i * 4 + 3] = transparency?.[i] ?? 255;
  }
  return colours;
}

interface Reading {
  readonly header: Header;
  readonly lookUp: Uint8Array | undefined;
  /** tRNS of a grey or RGB picture: the one colour that is clear, 16 bit a sample. */
  readonly key: Uint8Array | undefined;
}

function writeRow(
  row: Uint8Array,
  { width, stepX }: Pass,
  { header, lookUp, key }: Reading,
  data: Uint8Array,
  start: number,
  channels: 1 | 4,
): void {
  const { depth, samples } = header;
  const value = sampler(row, depth);
  const scale = depth < 8 ? 255 / (2 ** depth - 1) : 1;
  // 16-bit samples keep the high byte; the clear colour is compared in full.
  const shift = depth === 16 ? 8 : 0;
  const alphaAt = samples === 2 ? 1 : samples === 4 ? 3 : -1;
  const keyAt = (sample: number) => ((key?.[sample * 2] ?? 0) << 8) | (key?.[sample * 2 + 1] ?? 0);
  const keys = [keyAt(0), keyAt(1), keyAt(2)] as const;
  const hasKey = key !== undefined && !lookUp && alphaAt < 0;
  for (let x = 0, out = start; x < width; x++, out += stepX * channels) {
    const first = value(x * samples);
    if (lookUp) {
      for (let c = 0; c < 4; c++) data[out + c] = lookUp[first * 4 + c] ?? 0;
      continue;
    }
    const red = (first >> shift) * scale;
    data[out] = red;
    if (channels === 1) continue;
    const colour = samples >= 3;
    const [second, third] = colour ? [value(x * samples + 1), value(x * samples + 2)] : [first, first];
    data[out + 1] = colour ? second >> shift : red;
    data[out + 2] = colour ? third >> shift : red;
    const clear = hasKey && first === keys[0] && (!colour || (second === keys[1] && third === keys[2]));
    data[out + 3] = alphaAt >= 0 ? value(x * samples + alphaAt) >> shift : clear ? 0 : 255;
  }
}

/** The commonest rows of all by ways of their own, some times as fast. */
function writeIndexed(row: Uint8Array, lookUp: Uint8Array, data: Uint8Array, start: number): void {
  const colours = new Uint32Array(lookUp.buffer, lookUp.byteOffset, 256);
  const pixels = new Uint32Array(data.buffer, data.byteOffset + start, row.length);
  for (let x = 0; x < pixels.length; x++) pixels[x] = colours[row[x]!]!;
}

function writeRgb(row: Uint8Array, data: Uint8Array, start: number): void {
  const pixels = new Uint32Array(data.buffer, data.byteOffset + start, row.length / 3);
  for (let i = 0, x = 0; x < pixels.length; i += 3, x++)
    pixels[x] = 0xff_00_00_00 | (row[i + 2]! << 16) | (row[i + 1]! << 8) | row[i]!;
}

/** Reads the n-th sample of an unfiltered row. */
export function sampler(row: Uint8Array, depth: number): (n: number) => number {
  if (depth === 8) return (n) => row[n] ?? 0;
  if (depth === 16) return (n) => ((row[n * 2] ?? 0) << 8) | (row[n * 2 + 1] ?? 0);
  const mask = 2 ** depth - 1;
  return (n) => ((row[(n * depth) >> 3] ?? 0) >> (8 - depth - ((n * depth) & 7))) & mask;
}
