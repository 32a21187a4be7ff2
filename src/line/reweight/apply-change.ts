import type { Paper } from '../paper.ts';

/** Samples of a picture as its file has them: R, G, B, A or grey with or without A, 8 or 16 bit, not premultiplied. */
export interface Samples {
  readonly width: number;
  readonly height: number;
  readonly channels: 1 | 2 | 3 | 4;
  readonly data: Uint8Array | Uint16Array;
}

/** What becomes of a drawing, pixel by pixel; the rest of it stays as it is. */
export interface PixelChange {
  readonly width: number;
  readonly height: number;
  /** Pixels that change, y × width + x. */
  readonly pixels: Int32Array;
  /** How much of each the line covers then, 0–255. */
  readonly coverage: Uint8Array;
  /** The pixel of the line whose colour each takes. */
  readonly colourFrom: Int32Array;
}

/**
 * A copy of the picture with a change in it; see `changeSamples`.
 *
 * @param coverage the ink before, 0–255, as the change was made from it.
 * @throws RangeError when the picture is of another size.
 */
export function applyChange(
  samples: Samples,
  coverage: Uint8Array,
  paper: Paper,
  change: PixelChange,
): Samples {
  const after = { ...samples, data: samples.data.slice() };
  changeSamples(after, coverage, paper, change);
  return after;
}

/**
 * Writes a change into the picture itself. Every pixel that the change does not name keeps its samples to the bit; one it
 * names takes the colour of the line it comes from, laid on the paper as far as the line covers it, or, on a transparent
 * drawing, as opaque as that. At 4K a copy costs more than all the rest.
 *
 * @param coverage the ink before, 0–255, as the change was made from it.
 * @throws RangeError when the picture is of another size.
 */
export function changeSamples(
  { width, height, channels, data }: Samples,
  coverage: Uint8Array,
  paper: Paper,
  change: PixelChange,
): void {
  if (width !== change.width || height !== change.height) {
    throw new RangeError(
      `The change is one of a ${change.width} × ${change.height} drawing, not of ${width} × ${height}.`,
    );
  }
  const most = data instanceof Uint16Array ? 65535 : 255;
  const colours = channels >= 3 ? 3 : 1;
  const hasAlpha = channels === 2 || channels === 4;
  const bare = paper.level.map((level) => (level * most) / 255);
  const sources = sourcesOf(data, channels, change);
  for (let k = 0; k < change.pixels.length; k++) {
    const to = change.pixels[k]! * channels;
    const from = k * channels;
    // A line that never covers a pixel whole shows its colour only in part: brought up to the whole.
    const share = change.coverage[k]! / Math.max(1, coverage[change.colourFrom[k]!]!);
    if (paper.kind === 'transparent') {
      for (let c = 0; c < colours; c++) data[to + c] = sources[from + c]!;
      data[to + colours] = Math.min(most, Math.round(sources[from + colours]! * share));
      continue;
    }
    for (let c = 0; c < colours; c++) {
      const ground = bare[c]!;
      data[to + c] = Math.min(most, Math.max(0, Math.round(ground + share * (sources[from + c]! - ground))));
    }
    if (hasAlpha) data[to + colours] = most;
  }
}

/** The colours that are taken, before any of them is written over. */
function sourcesOf(data: Samples['data'], channels: number, { colourFrom }: PixelChange): Uint16Array {
  const sources = new Uint16Array(colourFrom.length * channels);
  for (let k = 0; k < colourFrom.length; k++) {
    const from = colourFrom[k]! * channels;
    for (let c = 0; c < channels; c++) sources[k * channels + c] = data[from + c]!;
  }
  return sources;
}
