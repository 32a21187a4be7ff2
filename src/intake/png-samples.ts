/** A PNG's own samples: at its own depth, with its own channels. What is made of them goes back by `png-write.ts`. */
import type { Samples } from '../line/reweight/apply-change.ts';
import { freshBuffers } from './buffers.ts';
import { adam7, type Header, inflate, paletteColours, readChunks, sampler, whole } from './png.ts';
import { unfilter } from './png-filter.ts';

export interface StoredSamples extends Samples {
  /** Bits of a grey sample as they lay in the file; 8 or 16 for all others. Samples of 1, 2 and 4 bits are scaled to 8. */
  readonly depth: 1 | 2 | 4 | 8 | 16;
  /** Chunks that say how the numbers are to be shown, whole. */
  readonly shown: readonly Uint8Array[];
}

/**
 * Indexed colour becomes R, G, B; a colour that the file calls clear becomes an alpha sample. Throws an `OddFileError`
 * like `decodePng`.
 */
export function pngSamples(file: Uint8Array): StoredSamples {
  const chunks = readChunks(file);
  const { header, transparency: key, shown } = chunks;
  const { width, height, colour } = header;
  const indexed = colour === 3;
  const lookUp = indexed ? paletteColours(chunks) : undefined;
  const colours = indexed || colour === 2 || colour === 6 ? 3 : 1;
  const hasAlpha = colour === 4 || colour === 6 || key !== undefined;
  const channels = (colours + (hasAlpha ? 1 : 0)) as Samples['channels'];
  const deep = header.depth === 16;
  const data = deep ? new Uint16Array(width * height * channels) : new Uint8Array(width * height * channels);
  const passes = header.interlaced ? adam7(header) : [whole(header)];
  const raw = inflate(chunks.pixels, passes, freshBuffers);
  const most = deep ? 65535 : 255;
  const scale = header.depth < 8 ? 255 / (2 ** header.depth - 1) : 1;
  const clear = !indexed && key && colour !== 4 && colour !== 6 ? keyOf(key, colours) : undefined;
  let offset = 0;
  for (const pass of passes) {
    const { rowBytes } = pass;
    unfilter(raw, offset, pass.height, rowBytes, Math.max(1, (header.samples * header.depth) >> 3));
    for (let y = 0; y < pass.height; y++) {
      const row = raw.subarray(offset + y * (rowBytes + 1) + 1, offset + (y + 1) * (rowBytes + 1));
      const start = ((pass.y + y * pass.stepY) * width + pass.x) * channels;
      if (pass.stepX === 1 && header.depth === 8 && header.samples === channels && !indexed) {
        data.set(row, start);
        continue;
      }
      const value = sampler(row, header.depth);
      for (let x = 0, out = start; x < pass.width; x++, out += pass.stepX * channels) {
        if (lookUp) {
          const at = 4 * value(x);
          for (let c = 0; c < channels; c++) data[out + c] = lookUp[at + c]!;
          continue;
        }
        let isClear = clear !== undefined;
        for (let c = 0; c < header.samples; c++) {
          const sample = value(x * header.samples + c);
          data[out + c] = sample * scale;
          if (clear && sample !== clear[c]) isClear = false;
        }
        if (clear) data[out + colours] = isClear ? 0 : most;
      }
    }
    offset += pass.height * (rowBytes + 1);
  }
  return { width, height, channels, data, depth: depthOf(header, channels), shown };
}

const depthOf = ({ depth }: Header, channels: number): StoredSamples['depth'] =>
  channels === 1 || depth === 16 ? (depth as StoredSamples['depth']) : 8;

/** tRNS of a grey or RGB picture: the one colour that is clear, 16 bits a sample (11.3.1.1). */
const keyOf = (key: Uint8Array, colours: number): number[] =>
  Array.from({ length: colours }, (_, c) => ((key[2 * c] ?? 0) << 8) | (key[2 * c + 1] ?? 0));
