/** A picture as it lies in storage: small, quick to read, an `ArrayBuffer` (blobs fail on WebKit now and then). */
import type { Picture } from '../line/picture.ts';
import { decodeRuns, encodeRuns } from './runs.ts';

export interface StoredPicture {
  readonly width: number;
  readonly height: number;
  readonly channels: 1 | 4;
  readonly how: 'runs' | 'deflate';
  readonly bytes: ArrayBuffer;
}

/** A drawing in runs is a tenth of its pixels; a scan with paper grain has no runs, and deflate halves it. */
const RUNS_AT_MOST = 0.5;

const through = (bytes: Uint8Array, change: CompressionStream | DecompressionStream): Promise<ArrayBuffer> =>
  new Response(new Blob([bytes as Uint8Array<ArrayBuffer>]).stream().pipeThrough(change)).arrayBuffer();

export async function storePicture(picture: Picture): Promise<StoredPicture> {
  const { width, height, channels, data } = picture;
  if (data.length !== width * height * channels) {
    throw new RangeError(`A picture of ${width}×${height}×${channels} cannot hold ${data.length} bytes.`);
  }
  const runs = encodeRuns(data, channels, Math.floor(data.length * RUNS_AT_MOST));
  if (runs !== undefined) return { width, height, channels, how: 'runs', bytes: runs.buffer as ArrayBuffer };
  const bytes = await through(data, new CompressionStream('deflate-raw'));
  return { width, height, channels, how: 'deflate', bytes };
}

/** Memory to be taken over, of just this length. */
export type Spare = (byteLength: number) => Uint8Array | undefined;

export async function readPicture(stored: StoredPicture, spare?: Spare): Promise<Picture> {
  const { width, height, channels } = stored;
  const bytes = new Uint8Array(stored.bytes);
  const byteLength = width * height * channels;
  const data =
    stored.how === 'runs'
      ? decodeRuns(bytes, channels, spare?.(byteLength) ?? new Uint8Array(byteLength))
      : new Uint8Array(await through(bytes, new DecompressionStream('deflate-raw')));
  return { width, height, channels, data };
}
