/** PNG files (ISO/IEC 15948): 8-bit grey, grey with alpha, or palette. */
import { crc32, deflateSync } from 'node:zlib';

function chunk(type: string, data: Uint8Array): Buffer {
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const out = Buffer.alloc(body.length + 8);
  out.writeUInt32BE(data.length, 0);
  body.copy(out, 4);
  out.writeUInt32BE(crc32(body), body.length + 4);
  return out;
}

/**
 * `data` holds `width × height` pixels of 1 byte, or of 2 (grey, alpha) when `alpha`. With a palette
 * (RGB triples) the bytes are its indices. Rows are stored unfiltered, which suits line art best.
 */
export function encodePng(
  width: number,
  height: number,
  data: Uint8Array,
  options: { alpha?: boolean; palette?: Uint8Array; level?: number } = {},
): Uint8Array {
  const rowBytes = width * (options.alpha ? 2 : 1);
  const rows = Buffer.alloc((rowBytes + 1) * height);
  for (let y = 0; y < height; y++)
    rows.set(data.subarray(y * rowBytes, (y + 1) * rowBytes), y * (rowBytes + 1) + 1);
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header[8] = 8;
  header[9] = options.palette ? 3 : options.alpha ? 4 : 0;
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk('IHDR', header),
    ...(options.palette ? [chunk('PLTE', options.palette)] : []),
    chunk('IDAT', deflateSync(rows, { level: options.level ?? 9 })),
    chunk('IEND', new Uint8Array(0)),
  ]);
}
