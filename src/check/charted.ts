/** Where a drawing lies as its chart asks: each part that the chart names by itself, and what is left by itself. Pure. */
import type { Box } from '../line/picture.ts';
import { mostTogether, placeOfSet, placeTogether, unsure } from '../line/place-together.ts';
import { isRefused, type Refused } from '../line/refused.ts';
import type { Spacing, SpacingPatch, SpacingRefused } from '../line/spacing.ts';
import type { Chart, ChartPart } from '../shot/model.ts';
import { areaOf, cornersOf, liesWithin } from '../shot/part-place.ts';

/** A part that the chart names. */
export interface ChartedPart {
  readonly words: string;
  readonly fraction: number;
  readonly bbox: Box;
  readonly found: FoundPart | Refused;
}

interface FoundPart {
  readonly measured: number;
  readonly error: number;
  readonly movePx: number;
  readonly lengthPx: number;
  /** What lies at the chart's fraction within the place, as a share of what lies at `measured`. */
  readonly asCharted: number;
}

export interface Charted {
  /** Of what lies in no part of the chart. */
  readonly spacing: Spacing | SpacingRefused;
  readonly parts: readonly ChartedPart[];
}

/**
 * A patch of line belongs to the smallest place round its centre. A piece that moves together is the chart part's when
 * more than half of its line lies there, and the rest's otherwise. `sizePx` is that of the measured image.
 */
export function charted(
  whole: Spacing | SpacingRefused,
  { parts = [] }: Chart,
  sizePx: readonly [number, number],
): Charted {
  const { patches, mostError } = whole;
  if (parts.length === 0) return { spacing: whole, parts: [] };
  const places = parts.map(({ place }) => cornersOf(place, sizePx));
  const smallestFirst = places.map((_, n) => n).sort((p, q) => areaOf(places[p]!) - areaOf(places[q]!));
  const ownerOf = ({ xPx, yPx }: SpacingPatch) =>
    smallestFirst.find((n) => liesWithin([xPx, yPx], places[n]!));
  const owners = (patches ?? []).map(ownerOf);
  const of = (owner: number | undefined) => (patches ?? []).filter((_, k) => owners[k] === owner);
  return {
    spacing: withoutParts(whole, of(undefined)),
    parts: parts.map((part, n) => ({
      words: part.words.trim(),
      fraction: part.fraction,
      bbox: boxRound(places[n]!, sizePx),
      found: mostError === undefined ? nothingFound(whole) : findPart(part, of(n), mostError),
    })),
  };
}

const nothingFound = (whole: Spacing | SpacingRefused): Refused => ({
  refused: isRefused(whole) ? whole.refused : 'nothing of it was found again',
});

function withoutParts(
  whole: Spacing | SpacingRefused,
  left: readonly SpacingPatch[],
): Spacing | SpacingRefused {
  const { patches, parts, mostError } = whole;
  if (!patches || !parts || mostError === undefined || left.length === patches.length) return whole;
  if (left.length === 0) return { refused: 'nothing moves beside the parts that its chart names' };
  const kept = parts.filter((_, n) => {
    const length = (some: readonly SpacingPatch[]) =>
      some.reduce((sum, { part, lengthPx }) => sum + (part === n ? lengthPx : 0), 0);
    return 2 * length(left) >= length(patches);
  });
  return { ...placeTogether(left, mostError), parts: kept, patches: left, mostError };
}

/** How far from a fraction what lies there may be. */
const AT = 0.06;

function findPart(
  { fraction }: ChartPart,
  own: readonly SpacingPatch[],
  mostError: number,
): FoundPart | Refused {
  if (own.length === 0) return { refused: 'nothing that moves was found again at its place' };
  // What a place goes round is seldom the part alone: of the line in it the weightiest that moves together.
  const most = mostTogether(own);
  const weight = (some: readonly SpacingPatch[]) => some.reduce((sum, patch) => sum + patch.weight, 0);
  const place = placeOfSet(most);
  if (place.error > mostError) return unsure(place);
  const { measured, error, movePx } = place;
  return {
    measured,
    error,
    movePx,
    lengthPx: most.reduce((sum, { lengthPx }) => sum + lengthPx, 0),
    asCharted: weight(own.filter((patch) => Math.abs(patch.fraction - fraction) <= AT)) / weight(most),
  };
}

/** Whole px, on the paper. */
function boxRound(
  corners: readonly (readonly [number, number])[],
  [width, height]: readonly [number, number],
): Box {
  const within = (value: number, most: number) => Math.min(most, Math.max(0, value));
  const xs = corners.map(([x]) => within(x, width));
  const ys = corners.map(([, y]) => within(y, height));
  const [left, top] = [Math.floor(Math.min(...xs)), Math.floor(Math.min(...ys))];
  return [
    left,
    top,
    Math.max(1, Math.ceil(Math.max(...xs)) - left),
    Math.max(1, Math.ceil(Math.max(...ys)) - top),
  ];
}
