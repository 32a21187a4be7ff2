/** What the desk asks of the stage: the paper, its camera, and what lies on it. */
import type { Picture } from '../line/picture.ts';
import type { ImageRef } from '../shot/model.ts';

export type Quality = 'thumb' | 'flip' | 'full';

/** Where the stage gets pixels. Every call may be aborted; `undefined` means it is not kept here. */
export interface PictureSource {
  thumb(image: ImageRef, signal: AbortSignal): Promise<Picture | undefined>;
  flip(image: ImageRef, signal: AbortSignal): Promise<Picture | undefined>;
  /** The stage has no more use for a picture that it was given; its memory may be written over. */
  spent?(picture: Picture): void;
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
  readonly way: Compare['way'];
  /** Of the coarsest picture on screen. A smaller size with as many pixels as the original counts as `full`. */
  readonly quality: Quality;
  /**
   * False while nothing of this spread could be drawn yet (only before its thumbs are in), or when the
   * source does not keep one of its images.
   */
  readonly complete: boolean;
}

export interface StageEvents {
  shown(shown: Shown): void;
  /** `fitted`: the whole paper is kept in view, until a hand moves it. */
  camera(camera: Camera, fitted: boolean): void;
  /** Several of these may come for one gesture; steps are drawings to move by, signed. */
  flip(steps: number): void;
  /** Press and hold on the paper: show the other layer until false. */
  hold(down: boolean): void;
  tap(paper: readonly [number, number]): void;
  wipe(at: number): void;
  /**
   * The pen, in paper px; `phase` 'cancel' keeps what was drawn. `predicted` are guesses of where the pen
   * goes next: for the wet preview only, never kept. `end`: the end that touches, where the pen tells.
   */
  pen(
    phase: 'down' | 'move' | 'up' | 'cancel',
    points: readonly PenPoint[],
    predicted: readonly PenPoint[],
    end: 'point' | 'rubber',
  ): void;
  /** The button on the side of the pen, pressed over the paper or while touching it. */
  penButton?(down: boolean): void;
  /** The first pen contact of this visit: from here on the pen draws and fingers navigate. */
  penSeen?(): void;
  penHover(paper: readonly [number, number] | undefined): void;
  lost(state: 'lost' | 'restored'): void;
}

export interface PenPoint {
  readonly x: number;
  readonly y: number;
  /** 0..1; ½ where the device has none. */
  readonly pressure: number;
}

export interface StageOptions {
  /** Decoded bytes the stage may hold; 300 MB if left out. Halve it after a visit that ended uncleanly. */
  readonly budgetBytes?: number;
  /** CSS px of a one-finger drag per drawing; 24 if left out. */
  readonly flipStepPx?: number;
}

/** Gets a cleared context whose unit is one paper px (camera, mirror and device pixels are in its transform). */
export type LayerDraw = (context: CanvasRenderingContext2D, view: LayerView) => void;

/** What a layer's drawing may ask about the view it draws in. */
export interface LayerView {
  readonly camera: Camera;
  /** CSS px of the stage to which a paper point goes in this view. */
  toStage(paper: readonly [number, number]): readonly [number, number];
  readonly devicePixelRatio: number;
}

/** A canvas of its own above the paper, e.g. one for settled strokes and one for wet ink. */
export interface StageLayer {
  /** Draw again in the next frame. Camera, size and compare changes do this by themselves. */
  redraw(): void;
  remove(): void;
}

export interface Stage {
  show(spread: Spread): void;
  compare(compare: Compare): void;
  /** Spreads most likely next, nearest first (see `nearestFirst`): decoded ahead within the budget. */
  ahead(spreads: readonly Spread[]): void;
  /** All images of the shot: their thumbs are kept at hand, so that something right can always be shown. */
  keepThumbs(images: readonly ImageRef[]): void;
  /**
   * Adds a layer above the paper. `drawn` is asked at each redraw for what draws it now, clipped to the view (side by
   * side calls that once a view), or for nothing: a canvas with nothing on it then costs neither memory nor time.
   */
  layer(drawn: () => LayerDraw | undefined): StageLayer;
  camera(): Camera;
  moveTo(camera: Camera): void;
  /** Whole paper in view. */
  fit(): void;
  /** The paper fills the screen: none is left free round it when it is fitted. */
  edgeToEdge(on: boolean): void;
  /** The two of side by side stand one above the other here: the clean above, the rough below. */
  isStacked(): boolean;
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
