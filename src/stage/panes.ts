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
const STACK_GAIN = 1.25;

/** Whole stage, or its half in side by side: rough on the left (above, where that is larger), clean on the other. */
export function frames(compare: Compare, sizePx: Point, paperPx: Point): readonly Frame[] {
  const [width, height] = sizePx;
  if (compare.way !== 'side by side') return [[0, 0, width, height]];
  const beside = Math.min(width / 2 / paperPx[0], height / paperPx[1]);
  const above = Math.min(width / paperPx[0], height / 2 / paperPx[1]);
  return above < beside * STACK_GAIN
    ? [
        [0, 0, width / 2, height],
        [width / 2, 0, width / 2, height],
      ]
    : [
        [0, 0, width, height / 2],
        [0, height / 2, width, height / 2],
      ];
}

/** Frame under a point; points outside belong to the nearest one. */
export function frameAt(list: readonly Frame[], [x, y]: Point): Frame {
  const last = list.at(-1) as Frame;
  return list.find((f) => x < f[0] + f[2] && y < f[1] + f[3]) ?? last;
}

export function panes(spread: Spread, compare: Compare, sizePx: Point, paperPx: Point): readonly Pane[] {
  const all = frames(compare, sizePx, paperPx);
  const first = all[0] as Frame;
  const lay = (images: readonly ImageRef[], layer: Layer, opacity = 1): Ply[] =>
    images.map((image) => ({ image, layer, opacity }));
  const ghosts = spread.ghosts.map(
    (ghost): Ply => ({ image: ghost.image, layer: 'ghost', opacity: ghost.opacity, tint: ghost.tint }),
  );
  const clean = lay(spread.clean, 'clean');
  const rough = lay(spread.rough, 'rough');
  const over = (plies: readonly Ply[], frame = first, clip = frame): Pane => ({
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
      return [over(rough, first), over(clean, all[1])];
    case 'wipe': {
      const [width, height] = sizePx;
      const at = compare.at * width;
      return [over(rough, first, [0, 0, at, height]), over(clean, first, [at, 0, width - at, height])];
    }
    case 'difference':
      return [{ frame: first, clip: first, blend: 'difference', plies: [...rough, ...clean] }];
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
