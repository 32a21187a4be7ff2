/** The place on the drawing, with its strokes: painted while it is near the view, and for the screen it is on. */
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { paintPlace } from '../../export/page-painter.ts';
import { cropRound } from '../../export/painter.ts';
import type { FixRow } from '../../note/fix-list.ts';
import { perSession } from '../per-session.ts';
import type { Session } from '../session.ts';
import { flipSized, rememberingLast } from './decoding.ts';
import type { Places } from './places.ts';

const decoderOf = perSession((session) => rememberingLast((sha256) => flipSized(session.shelf, sha256)));

interface PlacePictureProps {
  readonly session: Session;
  readonly places: Places;
  readonly row: FixRow;
}

export function PlacePicture({ session, places, row }: PlacePictureProps): JSX.Element {
  const place = useRef<HTMLCanvasElement>(null);
  const { image, sizePx, box, strokes } = row;
  const [, , width, height] = cropRound(box, sizePx);
  useEffect(() => {
    const canvas = place.current;
    if (!canvas) return;
    return places.watch(canvas, (wanted) => paint(canvas, session, { image, sizePx, box, strokes }, wanted));
    // The list makes its rows anew at every entry: what is painted anew is told by its numbers.
  }, [session, places, image, strokes, ...sizePx, ...box]);
  return (
    <canvas
      ref={place}
      class="fix-picture"
      aria-hidden="true"
      style={{ aspectRatio: `${width} / ${height}` }}
    />
  );
}

async function paint(
  canvas: HTMLCanvasElement,
  session: Session,
  row: Pick<FixRow, 'image' | 'sizePx' | 'box' | 'strokes'>,
  wanted: () => boolean,
): Promise<void> {
  // A drawing that is not kept here leaves its paper white: the strokes still say where.
  const decoded =
    row.image === undefined ? undefined : await decoderOf(session)(row.image).catch(() => undefined);
  if (!wanted()) return;
  const crop = cropRound(row.box, row.sizePx);
  const { clientWidth } = canvas;
  // In the shape of the crop, whatever room the list gives it.
  canvas.width = Math.round(clientWidth * devicePixelRatio);
  canvas.height = Math.round((canvas.width * crop[3]) / crop[2]);
  const context = canvas.getContext('2d');
  if (!context || canvas.width === 0) return;
  paintPlace(context, decoded, row, crop, [canvas.width, canvas.height], clientWidth);
  canvas.dataset['painted'] = decoded ? 'drawing' : 'strokes';
}
