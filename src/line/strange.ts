/** Pictures that are no line drawing on light paper, told before anything is measured on them. */
import type { Picture } from './picture.ts';

export type Strange = 'black' | 'inverted' | 'noise';

/** Said of the picture that `it` stands for. */
export const strangeWords: Readonly<Record<Strange, string>> = {
  black: 'it is black all over',
  inverted: 'it is white line on black',
  noise: 'it is no line drawing: it is grain or noise all over',
};

/** Darker than this counts as dark: below it no scan's paper lies, above it no inked ground. */
const DARK_BELOW = 96;
/** A picture with less light than this share (one pixel in 2000) holds no line that could be seen. */
const LEAST_LIGHT = 1 / 2000;
/** Neighbours that differ by more are an edge; a scan's grain (a deviation of 5) differs so once in 50. */
const EDGE = 16;
/** A share of edges that even a page of close hatching does not reach: two thirds of its pixels are flat. */
const NOISE_SHARE = 0.4;
/** Fewer pixels tell nothing of their kind. */
const LEAST_PIXELS = 64 * 64;

/**
 * What a picture is, when it is no dark line on light paper: undefined for a drawing, and for bare paper. Dark
 * ground counts only where the edge of the picture is dark too: a drawing may have large blacks. Transparent
 * pixels count as white paper.
 */
export function strangeKind({ width, height, channels, data }: Picture): Strange | undefined {
  const count = width * height;
  if (count < LEAST_PIXELS) return undefined;
  const at = (i: number): number => {
    if (channels === 1) return data[i]!;
    const alpha = data[4 * i + 3]!;
    const most = Math.max(data[4 * i]!, data[4 * i + 1]!, data[4 * i + 2]!);
    return alpha === 255 ? most : 255 - ((255 - most) * alpha) / 255;
  };
  let [dark, edges, border, darkBorder] = [0, 0, 0, 0];
  for (let y = 0, i = 0; y < height; y++)
    for (let x = 0, before = at(i); x < width; x++, i++) {
      const value = at(i);
      if (value < DARK_BELOW) dark++;
      if (Math.abs(value - before) > EDGE) edges++;
      before = value;
      if (x > 0 && y > 0 && x < width - 1 && y < height - 1) continue;
      border++;
      if (value < DARK_BELOW) darkBorder++;
    }
  if (edges > count * NOISE_SHARE) return 'noise';
  if (dark * 2 <= count || darkBorder * 2 <= border) return undefined;
  return count - dark < count * LEAST_LIGHT ? 'black' : 'inverted';
}
