/** Follows a place through a set of drawings, outwards from where it is known: drawing to drawing, forth and back. */
import type { Point, Step } from '../../line/path/step-place.ts';
import { isRefused, type Refused } from '../../line/refused.ts';

/** A drawing of the set by its number in it, 0 … */
export interface Steps {
  readonly count: number;
  /** Why there is nothing to look at in a drawing, if so. */
  readonly without: (drawing: number) => string | undefined;
  readonly step: (place: Point, from: number, to: number) => Promise<Step | Refused> | Step | Refused;
}

/** Where the place lies in one drawing, px of its image. */
export type PathDot =
  | { readonly at: Point; readonly errorPx: number; readonly byHand: boolean }
  | (Refused & { readonly at?: undefined });

/** Drawings in a row that may lack the place (hidden, unsure) before it is given up. */
const MOST_LACKING = 3;
/** Steps add up their errors; beyond this, px, a dot says nothing of an arc any more. */
const MOST_ERROR_PX = 2.5;

/**
 * `known` holds the place where a person said it lies: these hold, and each other drawing is reached from the nearest of
 * them. `told` hears of each dot as it is found. Rejects with what `step` rejects with.
 */
export async function followPlace(
  { count, without, step }: Steps,
  known: ReadonlyMap<number, Point>,
  told?: (drawing: number, dot: PathDot) => void,
): Promise<PathDot[]> {
  const dots: PathDot[] = Array.from({ length: count }, () => ({
    refused: 'the drawing it was put on has a newer take; put it right on one',
  }));
  const tell = (drawing: number, dot: PathDot) => {
    dots[drawing] = dot;
    told?.(drawing, dot);
  };
  for (const [drawing, at] of known) tell(drawing, { at, errorPx: 0, byHand: true });
  const nearest = (drawing: number): number =>
    [...known.keys()].reduce((best, other) => {
      const [near, far] = [Math.abs(other - drawing), Math.abs(best - drawing)];
      return near < far || (near === far && other < best) ? other : best;
    });
  const outwards = async (start: number, by: 1 | -1): Promise<void> => {
    let last = { drawing: start, at: known.get(start)!, errorPx: 0 };
    let lacking = 0;
    for (let k = start + by; k >= 0 && k < count && nearest(k) === start; k += by) {
      const nothing = without(k);
      if (nothing !== undefined) {
        tell(k, { refused: nothing });
        continue;
      }
      if (lacking === MOST_LACKING) {
        tell(k, { refused: 'it was lost on the drawings before it' });
        continue;
      }
      const found = await step(last.at, last.drawing, k);
      const errorPx = isRefused(found) ? 0 : Math.hypot(last.errorPx, found.errorPx);
      if (isRefused(found)) tell(k, found);
      else if (errorPx > MOST_ERROR_PX) tell(k, { refused: `it is sure only to ${errorPx.toFixed(0)} px` });
      else {
        tell(k, { at: found.at, errorPx, byHand: false });
        last = { drawing: k, at: found.at, errorPx };
        lacking = 0;
        continue;
      }
      lacking++;
    }
  };
  await Promise.all([...known.keys()].flatMap((start) => [outwards(start, 1), outwards(start, -1)]));
  return dots;
}
