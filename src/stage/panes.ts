/** Which pictures lie where, for each way to compare. Pure. */
import type { ImageRef } from '../shot/model.ts';
import type { Frame, Point } from './camera.ts';
import type { Compare, Spread } from './types.ts';

export type Layer = 'clean' | 'rough' | 'ghost';

/** One picture laid on the paper. */
export interface Ply {
  readonly image: ImageRef;
  readonly layer: Layer;
  readonly opacity: number;
  /** sRGB 0..1; the ink's own colour when left out. */
  readonly tint?: readonly [number, number, number];
}

/** One view of the paper. `frame` carries the camera (its centre is the camera's), `clip` what is seen. */
export interface Pane {
  readonly frame: Frame;
  readonly clip: Frame;
  /** `over`: plies one over the other, lowest first. `difference`: clean against rough. */
  readonly blend: 'over' | 'difference';
  readonly plies: readonly Ply[];
}

/** One above the other only where that shows the paper larger by so much: one beside the other is the habit. */
const STACK_GAIN = 1.05;
/** Halves above each other that show the paper nearly as large as the whole stage does: it then lies in its half always. */
const HOME_LOSS = 0.95;

/** CSS px per paper px in a frame of this size. */
const zoomIn = (width: number, height: number, paperPx: Point): number =>
  Math.min(width / paperPx[0], height / paperPx[1]);

/** Whether the two of side by side stand one above the other. */
export function stacked([width, height]: Point, paperPx: Point): boolean {
  return zoomIn(width, height / 2, paperPx) >= zoomIn(width / 2, height, paperPx) * STACK_GAIN;
}

/**
 * Where the paper lies. Side by side has two: first the rough (left, or below), then the clean. Every other way has
 * one. On an upright tablet that is the half in which the clean lies in side by side, too: it never moves.
 */
export function frames(compare: Compare, sizePx: Point, paperPx: Point): readonly Frame[] {
  const [width, height] = sizePx;
  const above: Frame = [0, 0, width, height / 2];
  const isStacked = stacked(sizePx, paperPx);
  if (compare.way !== 'side by side') {
    const atHome =
      isStacked && zoomIn(width, height / 2, paperPx) >= zoomIn(width, height, paperPx) * HOME_LOSS;
    return [atHome ? above : [0, 0, width, height]];
  }
  return isStacked
    ? [[0, height / 2, width, height / 2], above]
    : [
        [0, 0, width / 2, height],
        [width / 2, 0, width / 2, height],
      ];
}

/** What is seen of the stage through each frame: its half in side by side, else all of it. */
export function clips(compare: Compare, sizePx: Point, paperPx: Point): readonly Frame[] {
  return compare.way === 'side by side' ? frames(compare, sizePx, paperPx) : [[0, 0, sizePx[0], sizePx[1]]];
}

/** Index of the frame or clip under a point; a point outside belongs to the nearest one. */
export function frameAt(list: readonly Frame[], [x, y]: Point): number {
  const distances = list.map(([left, top, width, height]) =>
    Math.hypot(Math.max(left - x, 0, x - left - width), Math.max(top - y, 0, y - top - height)),
  );
  return distances.lastIndexOf(Math.min(...distances));
}

export function panes(spread: Spread, compare: Compare, sizePx: Point, paperPx: Point): readonly Pane[] {
  const all = frames(compare, sizePx, paperPx);
  const first = all[0] as Frame;
  const seen = clips(compare, sizePx, paperPx);
  const lay = (images: readonly ImageRef[], layer: Layer, opacity = 1): Ply[] =>
    images.map((image) => ({ image, layer, opacity }));
  const ghosts = spread.ghosts.map(
    (ghost): Ply => ({ image: ghost.image, layer: 'ghost', opacity: ghost.opacity, tint: ghost.tint }),
  );
  const clean = lay(spread.clean, 'clean');
  const rough = lay(spread.rough, 'rough');
  const over = (plies: readonly Ply[], frame = first, clip = seen[0] as Frame): Pane => ({
    frame,
    clip,
    blend: 'over',
    plies: [...ghosts, ...plies],
  });
  switch (compare.way) {
    case 'clean':
      return [over(clean)];
    case 'rough':
      return [over(rough)];
    case 'underlay':
      return [over([...lay(spread.rough, 'rough', compare.opacity), ...clean])];
    case 'side by side':
      return [over(rough), over(clean, all[1], seen[1])];
    case 'wipe': {
      const [width, height] = sizePx;
      const at = compare.at * width;
      return [over(rough, first, [0, 0, at, height]), over(clean, first, [at, 0, width - at, height])];
    }
    case 'difference':
      return [{ frame: first, clip: seen[0] as Frame, blend: 'difference', plies: [...rough, ...clean] }];
  }
}

/** Images a view of this spread needs, without repeats. */
export function imagesOf(spread: Spread, compare: Compare): readonly ImageRef[] {
  const seen = new Map<string, ImageRef>();
  for (const pane of panes(spread, compare, [1, 1], [1, 1]))
    for (const ply of pane.plies) seen.set(ply.image.sha256, ply.image);
  return [...seen.values()];
}

/**
 * Indices of a list, nearest to `at` first, twice as many in the direction of travel as behind. With
 * `loop` the ends join. `at` itself is left out.
 */
export function nearestFirst(length: number, at: number, direction: 1 | -1, loop: boolean): number[] {
  const order: number[] = [];
  const taken = new Set([at]);
  const take = (index: number) => {
    const place = loop ? ((index % length) + length) % length : index;
    if (place < 0 || place >= length || taken.has(place)) return;
    taken.add(place);
    order.push(place);
  };
  for (let step = 1; step <= length; step++) {
    take(at + direction * (2 * step - 1));
    take(at + direction * 2 * step);
    take(at - direction * step);
  }
  return order;
}
