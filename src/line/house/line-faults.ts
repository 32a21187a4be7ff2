/** A drawing held against the house's rules for line: paper, edges, colours. */
import { findPaper, type Paper } from '../paper.ts';
import type { Box, Picture } from '../picture.ts';
import {
  BARE,
  colourOf,
  commonColours,
  isEdge,
  isSolid,
  MIXED,
  OTHER,
  overPaper,
  type PixelKinds,
  pixelKinds,
} from './pixel-kinds.ts';
import { type FaultPlace, placesOf } from './places.ts';
import type { LineFaultKind, LineRules, Rgb } from './rules.ts';

/** One place; `colour` is what stands there, of a `stray` and of `paper`. */
export interface LineFault extends FaultPlace {
  readonly kind: LineFaultKind;
  readonly colour?: Rgb;
}

/** A line counts as pale only where no pixel near it holds more than this share of a line colour. */
const PALE_SHARE = 0.75;
/** Within this far, px: across a thin line and along a tapered end. */
const PALE_REACH_PX = 2;
/** Fewer pale pixels than in a crumb 8 px square are a tapered end. */
const LEAST_PALE_PX = 64;
/** Where more than this share of a line's outermost solid pixels lie bare against paper, its edges are hard. */
const HARD_SHARE = 0.5;
/** Opacity, of 255, from which white in a transparent drawing is paper left in rather than a faint edge. */
const LEFT_IN_ALPHA = 128;

/** Faults by kind, the largest place of each first; empty when the drawing keeps the rules. Pure. */
export function lineFaults(picture: Picture, rules: LineRules): LineFault[] {
  const paper = findPaper(picture);
  const { width, height } = picture;
  const whole: Box = [0, 0, width, height];
  const faults = paperFaults(picture, paper, rules, whole);
  if (rules.edges === 'either' && rules.colours.length === 0) return faults;
  if (paper.kind === 'scan') return [...faults, { kind: 'grain', box: whole, countPx: 0 }];
  const over = overPaper(picture, paper);
  const said = rules.colours.length > 0;
  const colours = said ? rules.colours : commonColours(over, paper);
  const pixels = pixelKinds(over, width, paper, colours, rules);
  const { kinds } = pixels;
  if (rules.edges === 'hard')
    faults.push(
      ...of(
        'soft',
        placesOf(width, height, (i) => isEdge(kinds[i]!) || kinds[i] === MIXED),
      ),
    );
  if (rules.edges === 'soft' && isHard(kinds, width))
    faults.push(...of('hard', [{ box: whole, countPx: 0 }]));
  if (!said) return faults;
  for (const place of placesOf(width, height, (i) => kinds[i] === OTHER))
    faults.push({ kind: 'stray', ...place, colour: commonIn(over, kinds, width, place.box) });
  if (rules.edges !== 'hard') faults.push(...of('pale', palePlaces(pixels, width, height)));
  return faults;
}

const of = (kind: LineFaultKind, places: readonly FaultPlace[]): LineFault[] =>
  places.map((place) => ({ kind, ...place }));

function paperFaults(
  { width, height, channels, data }: Picture,
  paper: Paper,
  { paper: wanted, colours, withinLevels }: LineRules,
  whole: Box,
): LineFault[] {
  if (wanted === 'either') return [];
  const other: LineFault = { kind: 'paper', box: whole, countPx: 0, colour: paper.level };
  const alpha = (i: number): number => (channels === 4 ? data[4 * i + 3]! : 255);
  if (wanted === 'white') {
    if (paper.kind === 'transparent') return [{ kind: 'paper', box: whole, countPx: 0 }];
    if (Math.min(...paper.level) < 255 - withinLevels) return [other];
    return of(
      'paper',
      placesOf(width, height, (i) => alpha(i) < 255),
    );
  }
  if (paper.kind !== 'transparent') return [other];
  const isWhite = (level: number): boolean => level >= 255 - withinLevels;
  if (colours.some((colour) => colour.every(isWhite))) return [];
  return of(
    'paper',
    placesOf(
      width,
      height,
      (i) =>
        alpha(i) >= LEFT_IN_ALPHA &&
        isWhite(data[4 * i]!) &&
        isWhite(data[4 * i + 1]!) &&
        isWhite(data[4 * i + 2]!),
    ),
  );
}

/** Solid pixels that lie against bare paper, among all that lie at the line's edge. */
function isHard(kinds: Uint8Array, width: number): boolean {
  let bare = 0;
  let soft = 0;
  for (let i = width; i < kinds.length - width; i++) {
    if (!isSolid(kinds[i]!)) continue;
    const round = [kinds[i - 1]!, kinds[i + 1]!, kinds[i - width]!, kinds[i + width]!];
    if (round.includes(BARE)) bare++;
    else if (round.some(isEdge)) soft++;
  }
  return bare > HARD_SHARE * (bare + soft);
}

function palePlaces({ kinds, shares }: PixelKinds, width: number, height: number): FaultPlace[] {
  const most = Math.round(255 * PALE_SHARE);
  const isPale = (i: number): boolean => {
    const kind = kinds[i]!;
    if (!isEdge(kind)) return false;
    const [x, y] = [i % width, Math.floor(i / width)];
    const firstRow = Math.max(0, y - PALE_REACH_PX);
    const lastRow = Math.min(height - 1, y + PALE_REACH_PX);
    for (let v = firstRow; v <= lastRow; v++)
      for (let u = Math.max(0, x - PALE_REACH_PX); u <= Math.min(width - 1, x + PALE_REACH_PX); u++) {
        const near = kinds[v * width + u]!;
        if (near === BARE || near >= MIXED) continue;
        if (colourOf(near) === colourOf(kind) && shares[v * width + u]! > most) return false;
      }
    return true;
  };
  return placesOf(width, height, isPale).filter(({ countPx }) => countPx >= LEAST_PALE_PX);
}

/** The commonest stranger in a box. */
export function commonIn(over: Int32Array, kinds: Uint8Array, width: number, [left, top, w, h]: Box): Rgb {
  const counts = new Map<number, number>();
  let best = 0;
  for (let y = top; y < top + h; y++)
    for (let x = left; x < left + w; x++) {
      const i = y * width + x;
      if (kinds[i] !== OTHER) continue;
      const word = over[i]!;
      const count = (counts.get(word) ?? 0) + 1;
      counts.set(word, count);
      if (count > (counts.get(best) ?? 0)) best = word;
    }
  return [best >> 16, (best >> 8) & 255, best & 255];
}
