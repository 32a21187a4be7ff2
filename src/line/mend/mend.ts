/** One place of a drawing put right: everything that it changes lies in its box. */
import type { Rgb } from '../house/rules.ts';
import type { Paper } from '../paper.ts';
import type { Box } from '../picture.ts';
import { applyChange, type PixelChange, type Samples } from '../reweight/apply-change.ts';

export type Mend = {
  /** Image px. */
  readonly box: Box;
} & (
  | { readonly kind: 'gap' | 'speck'; readonly change: PixelChange }
  | { readonly kind: 'colour'; readonly snap: ColourSnap }
);

/** Pixels of one stray colour, and the colour of the house that they take. */
export interface ColourSnap {
  /** y × width + x. */
  readonly pixels: Int32Array;
  /** How much of each is line, 0–1. */
  readonly share: Float32Array;
  readonly from: Rgb;
  readonly to: Rgb;
}

/** The smallest box round pixels; undefined for none. */
export function boxOf(pixels: ArrayLike<number>, width: number): Box | undefined {
  if (pixels.length === 0) return undefined;
  let [left, top, right, bottom] = [Infinity, Infinity, 0, 0];
  for (let k = 0; k < pixels.length; k++) {
    const x = pixels[k]! % width;
    const y = (pixels[k]! - x) / width;
    left = Math.min(left, x);
    right = Math.max(right, x + 1);
    top = Math.min(top, y);
    bottom = Math.max(bottom, y + 1);
  }
  return [left, top, right - left, bottom - top];
}

/**
 * A copy of the picture with these mends in it. Pixels outside of their boxes keep their samples to the bit.
 *
 * @param coverage the ink before, 0–255, as the mends were made from it.
 */
export function applyMends(
  samples: Samples,
  coverage: Uint8Array,
  paper: Paper,
  mends: readonly Mend[],
): Samples {
  const changes = mends.flatMap((mend) => (mend.kind === 'colour' ? [] : [mend.change]));
  const after = applyChange(samples, coverage, paper, joined(samples, changes));
  for (const mend of mends) if (mend.kind === 'colour') snap(samples, after, paper, mend.snap);
  return after;
}

function joined({ width, height }: Samples, changes: readonly PixelChange[]): PixelChange {
  const all = (of: (change: PixelChange) => ArrayLike<number>): number[] =>
    changes.flatMap((change) => Array.from(of(change)));
  return {
    width,
    height,
    pixels: Int32Array.from(all(({ pixels }) => pixels)),
    coverage: Uint8Array.from(all(({ coverage }) => coverage)),
    colourFrom: Int32Array.from(all(({ colourFrom }) => colourFrom)),
  };
}

/** In the file's own range and channels; on a transparent drawing the line stays as opaque as it is. */
function snap(before: Samples, after: Samples, paper: Paper, { pixels, share, to }: ColourSnap): void {
  const { channels, data } = after;
  const most = data instanceof Uint16Array ? 65535 : 255;
  const colours = channels >= 3 ? 3 : 1;
  const hasAlpha = channels === 2 || channels === 4;
  for (let k = 0; k < pixels.length; k++) {
    const at = pixels[k]! * channels;
    const clear = paper.kind === 'transparent' || (hasAlpha && before.data[at + colours]! < most);
    for (let c = 0; c < colours; c++) {
      // A grey file has one colour for all three.
      const wanted = colours === 1 ? (to[0] + to[1] + to[2]) / 3 : to[c]!;
      const ground = paper.level[c]!;
      const level = clear ? wanted : ground + share[k]! * (wanted - ground);
      data[at + c] = Math.round((level * most) / 255);
    }
  }
}
