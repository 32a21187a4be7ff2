/** What draws: WebGL2 where there is one, a 2D canvas where not. Both keep to this contract. */
import type { Box, Picture } from '../line/picture.ts';
import type { Affine, Frame, Point } from './camera.ts';
import type { Layer } from './panes.ts';

/** sRGB 0..1. */
export type Rgb = readonly [red: number, green: number, blue: number];

/** Neighbouring cuttings share this many px, so that filtering meets no edge between them. */
export const CUTTING_OVERLAP_PX = 2;

/** A decoded original, whole or in part. */
export interface Cutting {
  readonly bitmap: ImageBitmap;
  /** What it shows, in image px. */
  readonly box: Box;
}

/** Pixels in the painter's hands. Only the painter looks inside. */
export interface Sheet {
  readonly bytes: number;
}

export interface LaidPly {
  readonly sheet: Sheet;
  /** Where it lies on the paper, paper px. */
  readonly box: Box;
  readonly layer: Layer;
  readonly opacity: number;
  readonly tint?: Rgb;
}

export interface LaidPane {
  /** Paper px to stage CSS px. */
  readonly place: Affine;
  readonly clip: Frame;
  readonly blend: 'over' | 'difference';
  readonly plies: readonly LaidPly[];
}

export interface Scene {
  readonly panes: readonly LaidPane[];
  readonly paperPx: Point;
  readonly paper: Rgb;
  readonly surround: Rgb;
  /** Ink that only the clean has in a difference (solid), and that only the rough has (hatched). */
  readonly cleanOnly: Rgb;
  readonly roughOnly: Rgb;
}

/**
 * Ink and paper: every picture is taken as ink on clear paper, as on a light table. Of a colour C on white,
 * ink is a = 1 − min(C) with premultiplied colour C − min(C), so that source-over (W3C Compositing) on white
 * gives C back, and several pictures, underlays and ghosts lie one over the other by plain source-over.
 */
export interface Painter {
  readonly kind: 'webgl2' | '2d';
  /** Canvas size in device px, and device px per CSS px. */
  resize(widthPx: number, heightPx: number, ratio: number): void;
  /** `reuse` is a sheet no longer needed; its memory is taken over when the size fits, freed when not. */
  upload(picture: Picture, reuse?: Sheet): Sheet;
  /** Adds a cutting (within `maxCuttingPx`) of an image of this size to a sheet, or begins one with it. */
  addCutting(onto: Sheet | undefined, cutting: Cutting, imagePx: Point): Sheet;
  /** Bytes `upload` will take for a picture of this many pixels and channels. */
  bytesOf(pixels: number, channels: 1 | 4): number;
  readonly maxCuttingPx: number;
  free(sheet: Sheet): void;
  paint(scene: Scene): void;
  destroy(): void;
}
