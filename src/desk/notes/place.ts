/** Where a note's px lie on the paper now: they follow the drawing, whatever size its newest take has. Pure. */

import { drawingOf } from '../../shot/drawing-ref.ts';
import type { ImageRef, Shot } from '../../shot/model.ts';
import { cleanOf } from '../../shot/takes.ts';

/** paper = offset + scale × note px, along each axis. */
export interface Placement {
  readonly scale: readonly [number, number];
  readonly offsetPx: readonly [number, number];
}

/** The picture under the hand: the rough when that is looked at, else the newest take, else the rough. */
export function pictureOf(shot: Shot, level: string, label: string, rough: boolean): ImageRef | undefined {
  const drawing = drawingOf(shot, { level, drawing: label });
  if (!drawing) return undefined;
  const clean = cleanOf(drawing);
  return rough ? (drawing.rough ?? clean) : (clean ?? drawing.rough);
}

/** Pictures lie centred on the paper, px for px (`Shot.sizePx`); a note made on one covers it edge to edge. */
export function placementOf(
  shot: Shot,
  image: Pick<ImageRef, 'width' | 'height'> | undefined,
  [width, height]: readonly [number, number],
): Placement {
  const [paperW, paperH] = shot.sizePx;
  const [imageW, imageH] = image ? [image.width, image.height] : [paperW, paperH];
  return {
    scale: [imageW / width, imageH / height],
    offsetPx: [(paperW - imageW) / 2, (paperH - imageH) / 2],
  };
}

/** The lie of a note of one drawing, shown on `label` (itself, or another it holds for). */
export function placementOfNote(
  shot: Shot,
  note: { readonly level: string; readonly image: string; readonly sizePx: readonly [number, number] },
  label: string,
): Placement {
  const drawing = drawingOf(shot, { level: note.level, drawing: label });
  const onRough = drawing?.rough?.sha256 === note.image;
  return placementOf(shot, pictureOf(shot, note.level, label, onRough), note.sizePx);
}

export const toPaper = (
  { scale, offsetPx }: Placement,
  [x, y]: readonly [number, number],
): [number, number] => [offsetPx[0] + scale[0] * x, offsetPx[1] + scale[1] * y];

export const fromPaper = (
  { scale, offsetPx }: Placement,
  [x, y]: readonly [number, number],
): [number, number] => [(x - offsetPx[0]) / scale[0], (y - offsetPx[1]) / scale[1]];
