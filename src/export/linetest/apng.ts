/**
 * An animated PNG, written as W3C PNG (Third Edition, 2025) says: acTL, then fcTL and IDAT for the first frame, fcTL and
 * fdAT for those after it (4.9, 11.3.3). Where nothing plays video, and where no encoder is, it shows in any browser.
 */
import { unzlibSync, zlibSync } from 'fflate';
import { crc32 } from '../../line/crc32.ts';
import type { Box, Picture } from '../../line/picture.ts';
import type { Rate } from './rate.ts';

export interface ApngWriter {
  /** Opaque, of the size that was said; shown for so many frames of the rate. */
  add(picture: Picture, frames: number): void;
  /** The file, in parts. */
  finish(): Uint8Array<ArrayBuffer>[];
}

interface Kept {
  readonly box: Box;
  /** Frames of the rate. */
  frames: number;
  /** A zlib stream of filtered rows, with `channels` bytes a pixel. */
  packed: Uint8Array;
  channels: 1 | 3;
}

/** 16 bits of a delay's numerator. */
const mostDelay = 65_535;

/**
 * `loops`: how often it plays, 0 for without end. Only what changed of a frame is kept, compressed, so that a long shot
 * fits; grey stays one channel until the first colour comes.
 */
export function apngWriter(
  { width, height }: Pick<Picture, 'width' | 'height'>,
  rate: Rate,
  loops = 0,
): ApngWriter {
  const kept: Kept[] = [];
  let before: Picture | undefined;
  const mostFrames = Math.max(1, Math.floor(mostDelay / rate.seconds));
  return {
    add(picture, frames) {
      if (picture.width !== width || picture.height !== height)
        throw new RangeError(
          `A frame of ${picture.width}×${picture.height} px does not fit ${width}×${height}.`,
        );
      const box = before ? changedIn(before, picture) : ([0, 0, width, height] as const);
      before = picture;
      const last = kept.at(-1);
      if (!box && last) last.frames += frames;
      else if (box) {
        const channels = picture.channels === 4 ? 3 : 1;
        kept.push({ box, frames, packed: zlibSync(rowsOf(picture, box, channels), { level: 6 }), channels });
      }
    },
    finish() {
      const channels = kept.some((one) => one.channels === 3) ? 3 : 1;
      const still = { channels, packed: zlibSync(pixelAt(before, channels)), box: [0, 0, 1, 1] as const };
      const shown = kept.flatMap((one) => {
        const parts: { readonly box: Box; readonly frames: number; readonly packed: Uint8Array }[] = [];
        const packed = one.channels === channels ? one.packed : inColour(one);
        for (let left = one.frames; left > 0; left -= mostFrames)
          parts.push({
            // A hold too long for one delay goes on with nothing drawn.
            ...(parts.length === 0 ? { box: one.box, packed } : still),
            frames: Math.min(left, mostFrames),
          });
        return parts;
      });
      let sequence = 0;
      return [
        Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a),
        chunk('IHDR', [...u32(width), ...u32(height), 8, channels === 3 ? 2 : 0, 0, 0, 0]),
        // Perceptual intent; the gamma is for readers that do not know sRGB (11.3.2.2, 11.3.2.5).
        chunk('sRGB', [0]),
        chunk('gAMA', u32(45_455)),
        chunk('acTL', [...u32(shown.length), ...u32(loops)]),
        ...shown.flatMap(({ box, frames, packed }, index) => {
          const [x, y, w, h] = box;
          const delay = [...u16(frames * rate.seconds), ...u16(rate.frames)];
          // dispose_op NONE, blend_op SOURCE.
          const control = chunk('fcTL', [...u32(sequence++), ...[w, h, x, y].flatMap(u32), ...delay, 0, 0]);
          const data = index === 0 ? chunk('IDAT', packed) : chunk('fdAT', packed, u32(sequence++));
          return [control, data];
        }),
        chunk('IEND', []),
      ];
    },
  };
}

/** The smallest box round what differs; undefined when nothing does. */
export function changedIn(before: Picture, now: Picture): Box | undefined {
  const { width, height } = now;
  let [left, top, right, bottom] = [width, height, -1, -1];
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      if (samePixel(before, now, y * width + x)) continue;
      if (x < left) left = x;
      if (x > right) right = x;
      if (y < top) top = y;
      bottom = y;
    }
  return right < 0 ? undefined : [left, top, right - left + 1, bottom - top + 1];
}

function samePixel(one: Picture, other: Picture, pixel: number): boolean {
  if (one.channels === 1 && other.channels === 1) return one.data[pixel] === other.data[pixel];
  const a = one.channels === 1 ? pixel : 4 * pixel;
  const b = other.channels === 1 ? pixel : 4 * pixel;
  for (let channel = 0; channel < 3; channel++) {
    const from = one.data[one.channels === 1 ? a : a + channel];
    if (from !== other.data[other.channels === 1 ? b : b + channel]) return false;
  }
  return true;
}

/** Rows of the box, each behind its filter byte: Up, which leaves white paper zero (9.2). */
function rowsOf({ width, channels, data }: Picture, [left, top, w, h]: Box, out: 1 | 3): Uint8Array {
  const length = w * out + 1;
  const rows = new Uint8Array(length * h);
  const value = (x: number, y: number, channel: number): number =>
    data[(y * width + x) * channels + (channels === 4 ? channel : 0)] as number;
  for (let y = 0, at = 0; y < h; y++) {
    rows[at++] = y === 0 ? 0 : 2;
    for (let x = left; x < left + w; x++)
      for (let channel = 0; channel < out; channel++) {
        const above = y === 0 ? 0 : value(x, top + y - 1, channel);
        rows[at++] = value(x, top + y, channel) - above;
      }
  }
  return rows;
}

/** The upper left pixel as it lies there: written again it draws nothing. */
function pixelAt(picture: Picture | undefined, channels: 1 | 3): Uint8Array {
  const value = (channel: number): number => picture?.data[picture.channels === 4 ? channel : 0] ?? 255;
  return Uint8Array.from([0, ...Array.from({ length: channels }, (_, channel) => value(channel))]);
}

/** A grey frame packed anew as colour: filtered values of the three channels are those of the one. */
function inColour({ box: [, , w, h], packed }: Kept): Uint8Array {
  const grey = unzlibSync(packed);
  const rows = new Uint8Array((3 * w + 1) * h);
  for (let y = 0, from = 0, at = 0; y < h; y++) {
    rows[at++] = grey[from++] as number;
    for (let x = 0; x < w; x++, from++) {
      rows.fill(grey[from] as number, at, at + 3);
      at += 3;
    }
  }
  return zlibSync(rows, { level: 6 });
}

const u16 = (value: number): number[] => [(value >>> 8) & 255, value & 255];
const u32 = (value: number): number[] => [...u16(value >>> 16), ...u16(value & 0xffff)];

function chunk(
  type: string,
  data: ArrayLike<number>,
  before: readonly number[] = [],
): Uint8Array<ArrayBuffer> {
  const length = before.length + data.length;
  const bytes = new Uint8Array(length + 12);
  bytes.set(u32(length), 0);
  bytes.set(
    Array.from(type, (letter) => letter.charCodeAt(0)),
    4,
  );
  bytes.set(before, 8);
  bytes.set(data, 8 + before.length);
  bytes.set(u32(crc32(bytes.subarray(4, 8 + length))), 8 + length);
  return bytes;
}
