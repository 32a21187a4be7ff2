/** What page and worker say to each other about two takes. */
import type { Picture } from '../../line/picture.ts';
import type { TakeChange, TakeMove } from '../../line/redrawn.ts';

export type Asked = { readonly id: number } & (
  | { readonly kind: 'change'; readonly before: Picture; readonly after: Picture }
  | {
      readonly kind: 'lay';
      readonly older: Picture;
      readonly move: TakeMove | undefined;
      readonly sizePx: readonly [width: number, height: number];
    }
);

export type Answered = { readonly id: number } & (
  | { readonly change: TakeChange }
  | { readonly picture: Picture }
  | { readonly failed: string }
);
