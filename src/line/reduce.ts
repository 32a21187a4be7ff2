import type { Ink } from './ink.ts';
import { afterBare, bareWords } from './runs.ts';

/** Coverage alone, which is all that most measures need of a drawing. */
export type InkMap = Pick<Ink, 'width' | 'height' | 'coverage'>;

/** A grey grid of ink, 0 paper to 1 full ink, that stands for a drawing at a smaller scale. */
export interface Grid {
  readonly width: number;
  readonly height: number;
  readonly a: Float32Array;
  /** Image px per cell. */
  readonly scale: number;
}

/** Box average over `scale × scale` px; cells at the right and bottom edge count what lies outside as paper. */
export function reduce(ink: InkMap, scale: number): Grid {
  const width = Math.ceil(ink.width / scale);
  const height = Math.ceil(ink.height / scale);
  const a = new Float32Array(width * height);
  const { coverage } = ink;
  const words = bareWords(coverage, ink.width * ink.height);
  for (let y = 0; y < ink.height; y++) {
    const row = Math.floor(y / scale) * width;
    const first = y * ink.width;
    const end = first + ink.width;
    for (let i = first; i < end; ) {
      if (coverage[i] === 0) {
        i++;
        if ((i & 3) === 0) i = afterBare(words, i, end);
        continue;
      }
      const cell = Math.floor((i - first) / scale);
      const stop = Math.min(end, first + (cell + 1) * scale);
      let sum = 0;
      while (i < stop) sum += coverage[i++]!;
      a[row + cell]! += sum;
    }
  }
  const norm = 1 / (255 * scale * scale);
  for (let i = 0; i < a.length; i++) a[i]! *= norm;
  return { width, height, a, scale };
}

/** The smallest whole scale that brings the long edge to `longEdge` cells or fewer. */
export function scaleFor(width: number, height: number, longEdge: number): number {
  return Math.max(1, Math.ceil(Math.max(width, height) / longEdge));
}
