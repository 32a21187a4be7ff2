import type { Paper } from '../paper.ts';
import type { LineChange } from './reweigh.ts';

/** Samples of a picture as its file has them: R, G, B, A or grey with or without A, 8 or 16 bit, not premultiplied. */
export interface Samples {
  readonly width: number;
  readonly height: number;
  readonly channels: 1 | 2 | 3 | 4;
  readonly data: Uint8Array | Uint16Array;
}

/**
 * Writes a change into a copy of the picture. Every pixel that the change does not name keeps its samples to the bit;
 * one it names takes the colour of the line it comes from, laid on the paper as far as the line covers it, or, on a
 * transparent drawing, as opaque as that.
 *
 * @param coverage the ink before, 0–255, as the change was made from it.
 * @throws RangeError when the picture is of another size.
 */
export function applyChange(
  { width, height, channels, data }: Samples,
  coverage: Uint8Array,
  paper: Paper,
  change: LineChange,
): Samples {
  if (width !== change.width || height !== change.height) {
    throw new RangeError(
      `The change is one of a ${change.width} × ${change.height} drawing, not of ${width} × ${height}.`,
    );
  }
  const after = data.slice();
  const most = data instanceof Uint16Array ? 65535 : 255;
  const colours = channels >= 3 ? 3 : 1;
  const hasAlpha = channels === 2 || channels === 4;
  const bare = paper.level.map((level) => (level * most) / 255);
  for (let k = 0; k < change.pixels.length; k++) {
    const to = change.pixels[k]! * channels;
    const from = change.colourFrom[k]! * channels;
    // A line that never covers a pixel whole shows its colour only in part: brought up to the whole.
    const share = change.coverage[k]! / Math.max(1, coverage[change.colourFrom[k]!]!);
    if (paper.kind === 'transparent') {
      for (let c = 0; c < colours; c++) after[to + c] = data[from + c]!;
      after[to + colours] = Math.min(most, Math.round(data[from + colours]! * share));
      continue;
    }
    for (let c = 0; c < colours; c++) {
      const ground = bare[c]!;
      after[to + c] = Math.min(most, Math.max(0, Math.round(ground + share * (data[from + c]! - ground))));
    }
    if (hasAlpha) after[to + colours] = most;
  }
  return { width, height, channels, data: after };
}
