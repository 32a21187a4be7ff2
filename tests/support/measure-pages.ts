/**
 * Large drawings for measuring: pages of openmoji outlines (see line-art.ts), 12 to the page, and as their
 * rough the same pages with a heavier line, 3 px aside. Art of people drawn by others, so that the cost is
 * that of real curves, junctions and ends.
 */
import type { Picture } from '../../src/line/picture.ts';
import { openmojiArt, render, sampled } from './line-art.ts';

const COLUMNS = 4;
const ROWS = 3;

/** A page of about `width` × `width` · 0.527 (4096 × 2160 in proportion). */
export function page(width: number, kind: 'clean' | 'rough', seed: number): Picture {
  const height = Math.round((width * 2160) / 4096);
  const data = new Uint8Array(4 * width * height).fill(255);
  const cellPx = Math.floor(height / ROWS);
  // The grid of 72 units fills a cell; strokes of 2 units, of 3 for the rough.
  const strokePx = (2 * (cellPx - 4)) / 72;
  const asidePx = kind === 'rough' ? 3 : 0;
  for (const [k, art] of sampled(openmojiArt(), COLUMNS * ROWS, seed).entries()) {
    const heavier = kind === 'rough' ? art.svg.replaceAll('stroke-width="2"', 'stroke-width="3"') : art.svg;
    const drawn = render({ ...art, svg: heavier }, strokePx, 'white');
    const left = Math.floor(((k % COLUMNS) * width) / COLUMNS) + asidePx;
    const top = Math.floor(k / COLUMNS) * cellPx;
    const columns = Math.min(drawn.width, width - left);
    for (let y = 0; y < Math.min(drawn.height, height - top); y++) {
      const from = 4 * y * drawn.width;
      data.set(drawn.data.subarray(from, from + 4 * columns), 4 * ((top + y) * width + left));
    }
  }
  return { width, height, channels: 4, data };
}
