/** What is asked of the worker about two takes, and what it answers. */
import type { Picture } from '../../line/picture.ts';
import type { TakeChange, TakeMove } from '../../line/redrawn.ts';

/** Pixels are handed over: a picture sent is gone from the page. */
export type TakesAsk =
  | { readonly kind: 'change'; readonly before: Picture; readonly after: Picture }
  | {
      readonly kind: 'lay';
      readonly older: Picture;
      readonly move: TakeMove | undefined;
      readonly sizePx: readonly [width: number, height: number];
    };

export type TakesAnswer = { readonly change: TakeChange } | { readonly picture: Picture };
