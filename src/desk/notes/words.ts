/** What a note says of itself besides its own words. */

import { type DrawingRef, drawingOf } from '../../shot/drawing-ref.ts';
import type { Shot } from '../../shot/model.ts';

/** In the tablet's own manner; a clock that is wrong by days still gives a day. */
export function whenWords(wallMs: number): string {
  return new Date(wallMs).toLocaleString(undefined, {
    day: 'numeric',
    month: 'short',
    hour: '2-digit',
    minute: '2-digit',
  });
}

/** The picture a note was made on, against what the drawing has now. */
export function takeWords(shot: Shot, pin: DrawingRef & { readonly image: string }): string {
  const drawing = drawingOf(shot, pin);
  if (drawing?.rough?.sha256 === pin.image) return 'made on the rough';
  const take = drawing?.takes.find(({ image }) => image.sha256 === pin.image);
  if (!take) return 'made on a picture that is not here';
  const newest = drawing?.takes.at(-1)?.number;
  return newest === take.number
    ? `made on take ${take.number}`
    : `made on take ${take.number}, take ${newest} is here now`;
}
