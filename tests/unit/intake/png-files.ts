/**
 * PNG files of every colour type, depth and interlace, written here from the specification (W3C PNG 3rd
 * edition), since encoders at hand write only some. Filters cycle through all five types row by row.
 */
import { deflateSync } from 'node:zlib';

/** CRC-32 bit by bit, as annex D of the specification defines it. */
function crc(bytes: Uint8Array): number {
  let value = 0xff_ff_ff_ff;
  for (const byte of bytes) {
    value ^= byte;
    for (let bit = 0; bit < 8; bit++) value = value & 1 ? (value >>> 1) ^ 0xed_b8_83_20 : value >>> 1;
  }
  return ~value >>> 0;
}

export function chunk(type: string, body: Uint8Array = new Uint8Array()): Uint8Array {
  const out = new Uint8Array(body.length + 12);
  const view = new DataView(out.buffer);
  view.setUint32(0, body.length);
  out.set(Buffer.from(type, 'latin1'), 4);
  out.set(body, 8);
  view.setUint32(body.length + 8, crc(out.subarray(4, body.length + 8)));
  return out;
}

export const signature = Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a);

export interface PngKind {
  readonly colour: 0 | 2 | 3 | 4 | 6;
  readonly depth: 1 | 2 | 4 | 8 | 16;
  readonly interlaced: boolean;
  readonly transparency?: boolean;
}

const samplesOf = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 } as const;

export const pngKinds: readonly PngKind[] = ([0, 2, 3, 4, 6] as const).flatMap((colour) =>
  ([1, 2, 4, 8, 16] as const)
    .filter((depth) => depth >= 8 || colour === 0 || colour === 3)
    .filter((depth) => colour !== 3 || depth <= 8)
    .flatMap((depth) =>
      [false, true].flatMap((interlaced) => [
        { colour, depth, interlaced },
        ...(colour === 0 || colour === 2 || colour === 3
          ? [{ colour, depth, interlaced, transparency: true }]
          : []),
      ]),
    ),
);

export function nameOf({ colour, depth, interlaced, transparency }: PngKind): string {
  return `colour ${colour}, ${depth} bit${interlaced ? ', interlaced' : ''}${transparency ? ', tRNS' : ''}`;
}

/** A picture of 23 × 17 px (neither square nor a multiple of eight) with values that do not repeat in rows. */
export function makePng(
  kind: PngKind,
  width = 23,
  height = 17,
  extra: readonly Uint8Array[] = [],
): Uint8Array {
  const { colour, depth, interlaced, transparency } = kind;
  const most = 2 ** depth - 1;
  const samples = samplesOf[colour];
  const value = (x: number, y: number, c: number) =>
    (x * 37 + y * 101 + c * 59 + ((x * y) % 13) * 777) % (most + 1);
  const passes = interlaced
    ? [
        [0, 0, 8, 8],
        [4, 0, 8, 8],
        [0, 4, 4, 8],
        [2, 0, 4, 4],
        [0, 2, 2, 4],
        [1, 0, 2, 2],
        [0, 1, 1, 2],
      ]
    : [[0, 0, 1, 1]];
  const rows = passes.flatMap(([x0 = 0, y0 = 0, stepX = 1, stepY = 1]) => {
    const pass: Uint8Array[] = [];
    for (let y = y0; y < height; y += stepY) {
      const values: number[] = [];
      for (let x = x0; x < width; x += stepX) for (let c = 0; c < samples; c++) values.push(value(x, y, c));
      if (values.length > 0) pass.push(pack(values, depth));
    }
    return pass.map((row, i) => filtered(row, pass[i - 1], i % 5, Math.max(1, (samples * depth) >> 3)));
  });
  const header = new Uint8Array(13);
  new DataView(header.buffer).setUint32(0, width);
  new DataView(header.buffer).setUint32(4, height);
  header.set([depth, colour, 0, 0, interlaced ? 1 : 0], 8);
  const palette = Uint8Array.from({ length: 3 * Math.min(256, most + 1) }, (_, i) => (i * 83 + 29) % 256);
  const alphas = Uint8Array.from({ length: Math.min(256, most + 1) }, (_, i) => (i * 45 + 10) % 256);
  // The clear colour is that of one pixel that is there.
  const key = Uint8Array.from(
    Array.from({ length: samples }, (_, c) => value(5, 3, c)).flatMap((v) => [v >> 8, v & 255]),
  );
  const data = deflateSync(Buffer.concat(rows));
  return Buffer.concat([
    signature,
    chunk('IHDR', header),
    ...extra,
    ...(colour === 3 ? [chunk('PLTE', palette)] : []),
    ...(transparency ? [chunk('tRNS', colour === 3 ? alphas : key)] : []),
    // Two data chunks: encoders cut where they like.
    chunk('IDAT', data.subarray(0, 40)),
    chunk('IDAT', data.subarray(40)),
    chunk('IEND'),
  ]);
}

function pack(values: readonly number[], depth: number): Uint8Array {
  const row = new Uint8Array(Math.ceil((values.length * depth) / 8));
  values.forEach((value, i) => {
    if (depth === 16) row.set([value >> 8, value & 255], i * 2);
    else {
      const bit = i * depth;
      row[bit >> 3] = (row[bit >> 3] ?? 0) | (value << (8 - depth - (bit & 7)));
    }
  });
  return row;
}

function filtered(row: Uint8Array, above: Uint8Array | undefined, type: number, step: number): Uint8Array {
  const out = new Uint8Array(row.length + 1);
  out[0] = type;
  row.forEach((value, i) => {
    const a = row[i - step] ?? 0;
    const b = above?.[i] ?? 0;
    const c = above?.[i - step] ?? 0;
    const p = a + b - c;
    const [pa, pb, pc] = [Math.abs(p - a), Math.abs(p - b), Math.abs(p - c)];
    const paeth = pa <= pb && pa <= pc ? a : pb <= pc ? b : c;
    out[i + 1] = value - ([0, a, b, (a + b) >> 1, paeth][type] ?? 0);
  });
  return out;
}

/** An APNG of two frames: the first as in `makePng`, the second some bytes no still decoder looks at. */
export function makeApng(kind: PngKind): Uint8Array {
  const animation = chunk('acTL', Uint8Array.of(0, 0, 0, 2, 0, 0, 0, 0));
  const still = Buffer.from(makePng(kind, 23, 17, [animation]));
  const end = still.length - 12;
  return Buffer.concat([
    still.subarray(0, end),
    chunk('fdAT', Uint8Array.of(0, 0, 0, 1, 9, 9, 9)),
    still.subarray(end),
  ]);
}
