/** Colours that the house does not know, brought to the nearest that it does, place by place. */
import { apart, shareOf } from '../house/edge-colours.ts';
import { commonIn } from '../house/line-faults.ts';
import { isEdge, MIXED, OTHER, overPaper, pixelKinds } from '../house/pixel-kinds.ts';
import { placesOf } from '../house/places.ts';
import type { LineRules, Rgb } from '../house/rules.ts';
import { findPaper } from '../paper.ts';
import type { Box, Picture } from '../picture.ts';
import { boxOf, type Mend } from './mend.ts';

/** Any mix of paper and colour: the share is wanted, however far the pixel lies beside the way from one to the other. */
const ANY = 255;
/** A pixel beside a stray one that is its edge as well as one of the house's, by chance, goes with it. Levels. */
const FRINGE = 2;

/** The places as `lineFaults` tells them as stray; empty on a scan, or where the house allows any colour. */
export function snapColours(picture: Picture, rules: LineRules): Mend[] {
  const paper = findPaper(picture);
  const { colours } = rules;
  if (paper.kind === 'scan' || colours.length === 0) return [];
  const { width, height } = picture;
  const over = overPaper(picture, paper);
  const { kinds } = pixelKinds(over, width, paper, colours, rules);
  const fringeOf = (word: number, from: Rgb) => shareOf(rgbOf(word), paper.level, from, FRINGE);
  return placesOf(width, height, (i) => kinds[i] === OTHER).flatMap((place) => {
    const from = commonIn(over, kinds, width, place.box);
    const to = nearestOf(colours, from);
    const pixels: number[] = [];
    const share: number[] = [];
    for (const i of withFringe(place.box, kinds, width, (j) => fringeOf(over[j]!, from) !== undefined)) {
      const colour = rgbOf(over[i]!);
      pixels.push(i);
      share.push(
        apart(colour, from) <= rules.withinLevels ? 1 : (shareOf(colour, paper.level, from, ANY) ?? 1),
      );
    }
    const box = boxOf(pixels, width);
    const snap = { pixels: Int32Array.from(pixels), share: Float32Array.from(share), from, to };
    return box ? [{ kind: 'colour', box, snap }] : [];
  });
}

/** The strangers in a box, and what hangs on them that is their own edge; ascending. */
function withFringe(
  [left, top, w, h]: Box,
  kinds: Uint8Array,
  width: number,
  isFringe: (index: number) => boolean,
): Int32Array {
  const height = kinds.length / width;
  const open: number[] = [];
  for (let y = top; y < top + h; y++)
    for (let x = left; x < left + w; x++) if (kinds[y * width + x] === OTHER) open.push(y * width + x);
  const found = new Set(open);
  for (let i = open.pop(); i !== undefined; i = open.pop()) {
    const x = i % width;
    const y = (i - x) / width;
    for (let v = Math.max(0, y - 1); v <= Math.min(height - 1, y + 1); v++)
      for (let u = Math.max(0, x - 1); u <= Math.min(width - 1, x + 1); u++) {
        const next = v * width + u;
        const kind = kinds[next]!;
        if (found.has(next) || (kind !== MIXED && !isEdge(kind)) || !isFringe(next)) continue;
        found.add(next);
        open.push(next);
      }
  }
  return Int32Array.from(found).sort();
}

const rgbOf = (word: number): Rgb => [word >> 16, (word >> 8) & 255, word & 255];

/** By the channel that differs most, as the rules judge it. */
function nearestOf(colours: readonly Rgb[], from: Rgb): Rgb {
  return colours.reduce((best, colour) => (apart(colour, from) < apart(best, from) ? colour : best));
}
