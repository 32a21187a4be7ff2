/** What the worker that changes drawings is asked, and what it answers. Pictures are named by their SHA-256, px are theirs. */

import type { Rgb } from '../../line/house/rules.ts';
import type { LineEnd } from '../../line/line-ends.ts';
import type { Box, Picture } from '../../line/picture.ts';
import type { Break } from '../../line/reweight/what-breaks.ts';
import type { HouseRules } from '../../note/entry.ts';
import type { ImageRef } from '../../shot/model.ts';

/** What is looked for to be put right: as the checks found it, and as the rules of the house say. */
export interface MendPlaces {
  readonly gaps: readonly (readonly [readonly [number, number], readonly [number, number]])[];
  /** Middles of specks. */
  readonly specks: readonly (readonly [number, number])[];
  readonly ends: readonly LineEnd[];
  readonly rules: HouseRules;
}

/** A place that can be put right; the order is always the same for the same places. */
export interface MendOffer {
  readonly kind: 'gap' | 'speck' | 'colour';
  readonly box: Box;
  readonly from?: Rgb;
  readonly to?: Rgb;
}

/** What a drawing becomes. */
export type Redo =
  | { readonly kind: 'weight'; readonly byPx: number }
  | { readonly kind: 'mend'; readonly places: MendPlaces; readonly picks: readonly number[] };

export type RedrawAsk =
  | { readonly kind: 'weigh'; readonly sha256: string }
  | { readonly kind: 'foretell'; readonly sha256: string; readonly byPx: number }
  /** `picture`: in flip size, handed over. */
  | { readonly kind: 'preview'; readonly picture: Picture; readonly byPx: number }
  | { readonly kind: 'offers'; readonly sha256: string; readonly places: MendPlaces }
  /** In flip size, `redo` done; full size is worked on. */
  | { readonly kind: 'shown'; readonly sha256: string; readonly redo: Redo }
  | { readonly kind: 'redraw'; readonly sha256: string; readonly redo: Redo };

/** A drawing done anew, as the shelf keeps it. */
export interface Redrawn {
  readonly ref: ImageRef;
  readonly file: ArrayBuffer;
  readonly thumb: Picture;
  readonly flip: Picture;
  /** What is not as it came, in a sentence each. */
  readonly told: readonly string[];
}

export type RedrawAnswer =
  /** Median line weight, px. */
  | { readonly weightPx: number }
  /** Nothing of it can be done, and why: part of a sentence. */
  | { readonly refused: string }
  | { readonly breaks: readonly Break[] }
  | { readonly offers: readonly MendOffer[] }
  | { readonly picture: Picture }
  /** Undefined: not a pixel would change. */
  | { readonly redrawn: Redrawn | undefined };
