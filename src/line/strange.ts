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

/** Rows looked at in a large picture: a million pixels tell its kind as well as all do. */
const ROWS = 256;

/** The first, the last, and rows between in no even steps, which a hatching of one step would all meet alike. */
function rowsOf(height: number): readonly number[] {
  if (height <= ROWS) return Array.from({ length: height }, (_, y) => y);
  const step = height / ROWS;
  const between = Array.from({ length: ROWS }, (_, n) => Math.floor((n + ((n * 0.618) % 1)) * step));
  return [...new Set([...between.map((y) => Math.min(y, height - 1)), height - 1])];
}

/**
 * What a picture is, when it is no dark line on light paper: undefined for a drawing, and for bare paper. Dark
 * ground counts only where the edge of the picture is dark too: a drawing may have large blacks. Transparent
 * pixels count as white paper.
 */
export function strangeKind({ width, height, channels, data }: Picture): Strange | undefined {
  if (width * height < LEAST_PIXELS) return undefined;
  const at = (i: number): number => {
    if (channels === 1) return data[i]!;
    const alpha = data[4 * i + 3]!;
    const most = Math.max(data[4 * i]!, data[4 * i + 1]!, data[4 * i + 2]!);
    return alpha === 255 ? most : 255 - ((255 - most) * alpha) / 255;
  };
  let [seen, dark, edges, border, darkBorder] = [0, 0, 0, 0, 0];
  for (const y of rowsOf(height)) {
    const first = y * width;
    let before = at(first);
    const isEdge = y === 0 || y === height - 1;
    for (let i = first; i < first + width; i++) {
      const value = at(i);
      if (value < DARK_BELOW) {
        dark++;
        if (isEdge || i === first || i === first + width - 1) darkBorder++;
      }
      if (Math.abs(value - before) > EDGE) edges++;
      before = value;
    }
    seen += width;
    border += isEdge ? width : 2;
  }
  if (edges > seen * NOISE_SHARE) return 'noise';
  if (dark * 2 <= seen || darkBorder * 2 <= border) return undefined;
  return seen - dark < seen * LEAST_LIGHT ? 'black' : 'inverted';
}
