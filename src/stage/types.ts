/** What the desk asks of the stage: the paper, its camera, and what lies on it. */
import type { Picture } from '../line/picture.ts';
import type { ImageRef } from '../shot/model.ts';

export type Quality = 'thumb' | 'flip' | 'full';

/** Where the stage gets pixels. Every call may be aborted; `undefined` means it is not kept here. */
export interface PictureSource {
  thumb(image: ImageRef, signal: AbortSignal): Promise<Picture | undefined>;
  flip(image: ImageRef, signal: AbortSignal): Promise<Picture | undefined>;
  /** Decoded original, for zooming in; the stage closes it. */
  full(image: ImageRef, signal: AbortSignal): Promise<ImageBitmap | undefined>;
}

/** A neighbour showing through. Tint is sRGB 0..1; ink is drawn in it, paper stays clear. */
export interface Ghost {
  readonly image: ImageRef;
  readonly tint: readonly [number, number, number];
  readonly opacity: number;
}

/** What lies on the paper for one drawing (or one frame, when several levels show). */
export interface Spread {
  /** Identifies drawing and frame, e.g. `level/12A`; comes back in `Shown`. */
  readonly key: string;
  /** Lowest level first. An empty list is an honest blank (no clean-up yet), not a fault. */
  readonly clean: readonly ImageRef[];
  readonly rough: readonly ImageRef[];
  readonly ghosts: readonly Ghost[];
}

export type Compare =
  | { readonly way: 'clean' }
  | { readonly way: 'rough' }
  | { readonly way: 'underlay' /** 0..1, starts at 0.06 (common practice). */; readonly opacity: number }
  | { readonly way: 'side by side' }
  | { readonly way: 'wipe' /** 0..1 across the stage. */; readonly at: number }
  | { readonly way: 'difference' };

/** Paper to screen: `screen = translate(centre) · rotate · scale · mirror · (paper − paperCentre)`. */
export interface Camera {
  /** Paper point at the stage's centre, px of the shot's size. */
  readonly centre: readonly [number, number];
  /** CSS px per paper px. */
  readonly zoom: number;
  readonly angleRad: number;
  readonly mirrored: boolean;
}

/** What is truly on screen, told in the same animation frame in which it was drawn. */
export interface Shown {
  readonly key: string;
  readonly quality: Quality;
  /** False while nothing of this spread could be drawn yet (only before its thumbs are in). */
  readonly complete: boolean;
}

export interface StageEvents {
  shown(shown: Shown): void;
  camera(camera: Camera): void;
  /** Several of these may come for one gesture; steps are drawings to move by, signed. */
  flip(steps: number): void;
  /** Press and hold on the paper: show the other layer until false. */
  hold(down: boolean): void;
  tap(paper: readonly [number, number]): void;
  wipe(at: number): void;
  /** The pen, in paper px; `phase` 'cancel' keeps what was drawn. */
  pen(phase: 'down' | 'move' | 'up' | 'cancel', points: readonly PenPoint[]): void;
  penHover(paper: readonly [number, number] | undefined): void;
  lost(state: 'lost' | 'restored'): void;
}

export interface PenPoint {
  readonly x: number;
  readonly y: number;
  /** 0..1; ½ where the device has none. */
  readonly pressure: number;
}

export interface Stage {
  show(spread: Spread): void;
  compare(compare: Compare): void;
  /** Spreads most likely next, nearest first: decoded ahead within the budget. */
  ahead(spreads: readonly Spread[]): void;
  camera(): Camera;
  moveTo(camera: Camera): void;
  /** Whole paper in view. */
  fit(): void;
  /** One image px to one device px, about the centre. */
  actualPixels(): void;
  /** Paper px under a point of the stage in CSS px. */
  toPaper(stage: readonly [number, number]): readonly [number, number];
  toStage(paper: readonly [number, number]): readonly [number, number];
  /** False: fingers navigate and flip, the pen draws. True: one finger draws too. */
  fingersDraw(on: boolean): void;
  /** `'flip'` sends pen contacts to flipping (no notes in hand), `'draw'` to `pen` events. */
  penTool(tool: 'flip' | 'draw'): void;
  setPaperSize(sizePx: readonly [number, number]): void;
  stats(): { readonly decodedBytes: number; readonly peakDecodedBytes: number; readonly budgetBytes: number };
  destroy(): void;
}
