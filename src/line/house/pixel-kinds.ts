/** What each pixel of a drawing is, by the house's colours. */

import type { Paper } from '../paper.ts';
import { hueBin } from '../paper.ts';
import type { Picture } from '../picture.ts';
import { apart, shareOf } from './edge-colours.ts';
import type { LineRules, Rgb } from './rules.ts';

export const BARE = 0;
/** Mixed of two line colours where they meet. */
export const MIXED = 254;
export const OTHER = 255;
/** Most line colours: pixel kinds fit a byte. */
export const MOST_COLOURS = 100;

/**
 * `kinds`, a byte a pixel: `BARE`; 1 + k, solid of colour k; 101 + k, the edge of one; `MIXED`; `OTHER`. `shares`: how
 * much line an edge holds, 0–255.
 */
export interface PixelKinds {
  readonly kinds: Uint8Array;
  readonly shares: Uint8Array;
}

export const isSolid = (kind: number): boolean => kind > BARE && kind <= MOST_COLOURS;
export const isEdge = (kind: number): boolean => kind > MOST_COLOURS && kind < MIXED;
/** Colour of a solid or an edge. */
export const colourOf = (kind: number): number => (kind > MOST_COLOURS ? kind - MOST_COLOURS : kind) - 1;

/** One number for a colour over its paper. */
const packed = ([r, g, b]: Rgb): number => (r << 16) | (g << 8) | b;
const unpacked = (word: number): Rgb => [word >> 16, (word >> 8) & 255, word & 255];

/** The colour of every pixel over paper (W3C Compositing Level 1, source-over), packed; −1 where it is clear. */
export function overPaper({ width, height, channels, data }: Picture, paper: Paper): Int32Array {
  const out = new Int32Array(width * height);
  const [r, g, b] = paper.level;
  for (let i = 0; i < out.length; i++) {
    if (channels === 1) {
      out[i] = data[i]! * 0x10101;
      continue;
    }
    const alpha = data[4 * i + 3]!;
    if (alpha === 255) out[i] = (data[4 * i]! << 16) | (data[4 * i + 1]! << 8) | data[4 * i + 2]!;
    else if (alpha === 0) out[i] = -1;
    else {
      const over = (line: number, under: number): number =>
        Math.round(under + ((line - under) * alpha) / 255);
      out[i] = (over(data[4 * i]!, r) << 16) | (over(data[4 * i + 1]!, g) << 8) | over(data[4 * i + 2]!, b);
    }
  }
  return out;
}

/** Where no colours are said: of each hue the commonest one that is clearly line. */
export function commonColours(over: Int32Array, paper: Paper): Rgb[] {
  const counts = new Map<number, number>();
  for (const word of over) if (word >= 0) counts.set(word, (counts.get(word) ?? 0) + 1);
  const [r, g, b] = paper.level;
  const best = new Map<number, readonly [word: number, count: number]>();
  let all = 0;
  for (const [word, count] of counts) {
    const colour = unpacked(word);
    const departure = [r - colour[0], g - colour[1], b - colour[2]] as const;
    if (Math.max(...departure) <= CLEARLY_LINE) continue;
    all += count;
    const hue = hueBin(...departure);
    if (count > (best.get(hue)?.[1] ?? 0)) best.set(hue, [word, count]);
  }
  return [...best.values()].flatMap(([word, count]) => (count >= LEAST_SHARE * all ? [unpacked(word)] : []));
}
/** As `paper.ts` has it: a departure over this is line. */
const CLEARLY_LINE = 40;
/** A hue of fewer pixels is a fringe. */
const LEAST_SHARE = 0.02;

export function pixelKinds(
  over: Int32Array,
  width: number,
  paper: Paper,
  colours: readonly Rgb[],
  { withinLevels }: Pick<LineRules, 'withinLevels'>,
): PixelKinds {
  const kinds = new Uint8Array(over.length);
  const shares = new Uint8Array(over.length);
  const ground: Rgb = paper.level;
  const bare = packed(ground);
  // A drawing holds a few hundred colours; each is judged once.
  const known = new Map<number, readonly [kind: number, share: number]>();
  const judge = (word: number): readonly [kind: number, share: number] => {
    const colour = unpacked(word);
    if (apart(colour, ground) <= withinLevels) return [BARE, 0];
    const solid = nearest(colours, (line) => apart(colour, line));
    if (solid && solid.off <= withinLevels) return [1 + solid.index, 255];
    let edge: readonly [kind: number, share: number] | undefined;
    for (const [index, line] of colours.entries()) {
      const share = shareOf(colour, ground, line, withinLevels);
      // Of black and grey the same greys are edges: the one that is nearest to its own solid.
      if (share !== undefined && share * 255 > (edge?.[1] ?? 0))
        edge = [1 + MOST_COLOURS + index, Math.max(1, Math.round(255 * share))];
    }
    return edge ?? [OTHER, 0];
  };
  let last = bare;
  let said: readonly [number, number] = [BARE, 0];
  for (let i = 0; i < over.length; i++) {
    const word = over[i]!;
    if (word < 0 || word === bare) continue;
    if (word !== last) {
      last = word;
      said = known.get(word) ?? judge(word);
      known.set(word, said);
    }
    kinds[i] = said[0];
    shares[i] = said[1];
  }
  markMixed(over, kinds, width, ground, colours, withinLevels);
  return { kinds, shares };
}

function nearest(colours: readonly Rgb[], off: (colour: Rgb) => number) {
  let best: { readonly index: number; readonly off: number } | undefined;
  for (const [index, colour] of colours.entries()) {
    const its = off(colour);
    if (!best || its < best.off) best = { index, off: its };
  }
  return best;
}

/** How far from a pixel the lines are that it may be mixed of, px: an edge is a pixel or two wide. */
const REACH_PX = 2;

/** Two lines of different colours that meet mix on their common edge; anywhere else that colour is a stranger. */
function markMixed(
  over: Int32Array,
  kinds: Uint8Array,
  width: number,
  ground: Rgb,
  colours: readonly Rgb[],
  withinLevels: number,
): void {
  if (colours.length < 2) return;
  const height = over.length / width;
  for (let i = 0; i < kinds.length; i++) {
    if (kinds[i] !== OTHER) continue;
    const [x, y] = [i % width, Math.floor(i / width)];
    const near = new Set<number>();
    for (let v = Math.max(0, y - REACH_PX); v <= Math.min(height - 1, y + REACH_PX); v++)
      for (let u = Math.max(0, x - REACH_PX); u <= Math.min(width - 1, x + REACH_PX); u++) {
        const kind = kinds[v * width + u]!;
        if (isSolid(kind) || isEdge(kind)) near.add(colourOf(kind));
      }
    if (near.size < 2) continue;
    const of = [ground, ...[...near].map((index) => colours[index]!)];
    const colour = unpacked(over[i]!);
    const between = ([0, 1, 2] as const).every((k) => {
      const levels = of.map((one) => one[k]);
      return (
        colour[k] >= Math.min(...levels) - withinLevels && colour[k] <= Math.max(...levels) + withinLevels
      );
    });
    if (between) kinds[i] = MIXED;
  }
}
