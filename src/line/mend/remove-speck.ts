import { LINE_FROM } from '../ink.ts';
import type { InkMap } from '../reduce.ts';
import { boxOf, type Mend } from './mend.ts';

/** A speck is nowhere wider than this, px: its piece is looked for that far from its middle, and ends there. */
const MOST_REACH_PX = 72;

/**
 * The speck round a place turned to paper, its soft edge with it. Undefined where no ink lies there, or where what lies
 * there goes on too far for a speck.
 *
 * @param x,y middle of the speck's box, px.
 */
export function removeSpeck(ink: InkMap, [x, y]: readonly [number, number]): Mend | undefined {
  const { width, height, coverage } = ink;
  const start = nearestInk(ink, Math.floor(x), Math.floor(y));
  if (start === undefined) return undefined;
  const seen = new Set([start]);
  const open = [start];
  for (let i = open.pop(); i !== undefined; i = open.pop()) {
    const column = i % width;
    const row = (i - column) / width;
    if (Math.hypot(column + 0.5 - x, row + 0.5 - y) > MOST_REACH_PX) return undefined;
    for (let v = Math.max(0, row - 1); v <= Math.min(height - 1, row + 1); v++) {
      for (let u = Math.max(0, column - 1); u <= Math.min(width - 1, column + 1); u++) {
        const next = v * width + u;
        if (coverage[next] === 0 || seen.has(next)) continue;
        seen.add(next);
        open.push(next);
      }
    }
  }
  const pixels = Int32Array.from(seen).sort();
  const box = boxOf(pixels, width);
  const change = { width, height, pixels, coverage: new Uint8Array(pixels.length), colourFrom: pixels };
  return box && { kind: 'speck', box, change };
}

/** The nearest pixel of line, a speck's own width away at most. */
function nearestInk({ width, height, coverage }: InkMap, x: number, y: number): number | undefined {
  let best: number | undefined;
  let bestSq = Infinity;
  const reach = 8;
  for (let v = Math.max(0, y - reach); v <= Math.min(height - 1, y + reach); v++) {
    for (let u = Math.max(0, x - reach); u <= Math.min(width - 1, x + reach); u++) {
      const distSq = (u - x) ** 2 + (v - y) ** 2;
      if (coverage[v * width + u]! < LINE_FROM || distSq >= bestSq) continue;
      best = v * width + u;
      bestSq = distSq;
    }
  }
  return best;
}
