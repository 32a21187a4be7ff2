/** Samples as a PNG file (W3C PNG 3rd edition): of the depth and channels they have, not interlaced. */
import { crc32 } from '../line/crc32.ts';
import { join } from './join.ts';
import type { StoredSamples } from './png-samples.ts';

const colourTypes = { 1: 0, 2: 4, 3: 2, 4: 6 } as const;
/** Rows handed to the packer at once, bytes. */
const bandBytes = 1 << 20;

/** The whole file. A grey depth under 8 is kept where every sample fits it, else it becomes 8. */
export async function writePng(samples: StoredSamples): Promise<Uint8Array<ArrayBuffer>> {
  const { width, height, channels, shown } = samples;
  const depth = fittingDepth(samples);
  const header = new Uint8Array(13);
  const view = new DataView(header.buffer);
  view.setUint32(0, width);
  view.setUint32(4, height);
  header.set([depth, colourTypes[channels]], 8);
  const parts: readonly Uint8Array[] = [
    Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a),
    chunk('IHDR', header),
    ...shown,
    chunk('IDAT', await packed(samples, depth)),
    chunk('IEND', new Uint8Array(0)),
  ];
  // Of several parts it is one of its own.
  return join(parts) as Uint8Array<ArrayBuffer>;
}

function fittingDepth({ depth, data }: StoredSamples): StoredSamples['depth'] {
  if (depth >= 8) return depth;
  const step = 255 / (2 ** depth - 1);
  for (const sample of data) if (sample % step !== 0) return 8;
  return depth;
}

/** A zlib stream of the rows, each behind its filter byte: Up, which leaves bare paper zero (9.2). */
async function packed(samples: StoredSamples, depth: number): Promise<Uint8Array> {
  const { width, height, channels, data } = samples;
  const rowBytes = Math.ceil((width * channels * depth) / 8);
  const band = Math.max(1, Math.floor(bandBytes / (rowBytes + 1)));
  let above = new Uint8Array(rowBytes);
  let row = new Uint8Array(rowBytes);
  const write = rowWriter(data, width * channels, depth);
  let y = 0;
  const rows = new ReadableStream<Uint8Array<ArrayBuffer>>({
    pull(controller) {
      const last = Math.min(height, y + band);
      const bytes = new Uint8Array((last - y) * (rowBytes + 1));
      for (let at = 0; y < last; y++, at += rowBytes + 1) {
        write(y, row);
        bytes[at] = 2;
        for (let k = 0; k < rowBytes; k++) bytes[at + 1 + k] = row[k]! - above[k]!;
        [above, row] = [row, above];
      }
      controller.enqueue(bytes);
      if (y === height) controller.close();
    },
  });
  // `deflate` is the zlib format (RFC 1950), as IDAT wants it.
  const stream = rows.pipeThrough(new CompressionStream('deflate'));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

type RowWriter = (y: number, row: Uint8Array) => void;

function rowWriter(data: StoredSamples['data'], samplesPerRow: number, depth: number): RowWriter {
  if (depth === 8) return (y, row) => row.set(data.subarray(y * samplesPerRow, (y + 1) * samplesPerRow));
  if (depth === 16)
    return (y, row) => {
      for (let k = 0, at = y * samplesPerRow; k < samplesPerRow; k++, at++) {
        row[2 * k] = data[at]! >> 8;
        row[2 * k + 1] = data[at]!;
      }
    };
  const most = 2 ** depth - 1;
  return (y, row) => {
    row.fill(0);
    for (let k = 0, at = y * samplesPerRow; k < samplesPerRow; k++, at++) {
      const bit = k * depth;
      row[bit >> 3] = row[bit >> 3]! | (((data[at]! * most) / 255) << (8 - depth - (bit & 7)));
    }
  };
}

function chunk(type: string, data: Uint8Array): Uint8Array {
  const bytes = new Uint8Array(data.length + 12);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, data.length);
  for (let k = 0; k < 4; k++) bytes[4 + k] = type.charCodeAt(k);
  bytes.set(data, 8);
  view.setUint32(8 + data.length, crc32(bytes.subarray(4, 8 + data.length)));
  return bytes;
}
