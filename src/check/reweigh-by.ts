/** By how much each drawing's line is to change, as somebody asked for it. Pure. */
import { MOST_EDGE_PX } from '../line/reweight/reweigh.ts';

export type WeightWish =
  /** Every line wider by so much. */
  | { readonly how: 'px'; readonly px: number }
  /** By a share of each drawing's own weight. */
  | { readonly how: 'percent'; readonly percent: number }
  /** Each drawing's weight brought to this. */
  | { readonly how: 'to'; readonly px: number }
  /** Brought to the keys'; keys stay. */
  | { readonly how: 'keys' };

/** A change of width, px; or why the drawing is left as it is. */
export type WeightChange = { readonly byPx: number } | { readonly left: string };

export interface Weighed {
  /** Median line weight, px; undefined where nothing asks for it. */
  readonly weightPx?: number | undefined;
  readonly keysPx?: number | undefined;
  readonly isKey: boolean;
}

/** Steps of a px for what is reckoned, so that equal wishes make equal pictures. */
const GRAIN = 100;

/** @returns undefined while a weight that it hangs on is not known. */
export function weightChange(
  wish: WeightWish,
  { weightPx, keysPx, isKey }: Weighed,
): WeightChange | undefined {
  if (wish.how === 'keys' && isKey) return { left: 'It is a key: the keys give the weight.' };
  const exact = exactChange(wish, weightPx, keysPx);
  if (exact === undefined) return undefined;
  const byPx = wish.how === 'px' ? exact : Math.round(exact * GRAIN) / GRAIN;
  if (Math.abs(byPx) > 2 * MOST_EDGE_PX)
    return {
      left: `It would have to change by ${byPx.toFixed(1)} px; at once it is ${2 * MOST_EDGE_PX} px at most.`,
    };
  return byPx === 0 ? { left: 'It has that weight already.' } : { byPx };
}

function exactChange(wish: WeightWish, weightPx?: number, keysPx?: number): number | undefined {
  if (wish.how === 'px') return wish.px;
  if (weightPx === undefined) return undefined;
  if (wish.how === 'percent') return (weightPx * wish.percent) / 100;
  const toPx = wish.how === 'to' ? wish.px : keysPx;
  return toPx === undefined ? undefined : toPx - weightPx;
}
