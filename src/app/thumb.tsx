/** A small picture of what lies on the paper: one drawing, or a drawing of each level. */
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { imageDataOf } from '../export/image-data.ts';
import type { Picture } from '../line/picture.ts';

interface ThumbProps {
  /** Named by what it shows; a change of it loads again. */
  readonly id: string;
  readonly load: (signal: AbortSignal) => Promise<readonly (Picture | undefined)[]>;
  /** Width ÷ height of the paper, so that nothing jumps when the picture comes. */
  readonly aspect: number;
  readonly label: string;
}

export function Thumb({ id, load, aspect, label }: ThumbProps): JSX.Element {
  const place = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const gone = new AbortController();
    load(gone.signal).then(
      (pictures) => {
        const found = pictures.filter((picture) => picture !== undefined);
        if (place.current && !gone.signal.aborted) paint(place.current, found);
      },
      // A thumb that cannot be had leaves its paper empty; the drawing itself says why when it is opened.
      () => undefined,
    );
    return () => gone.abort();
    // `load` is made anew at each render; `id` says when it means something else.
  }, [id]);
  return (
    <canvas ref={place} class="thumb" role="img" aria-label={label} style={{ aspectRatio: String(aspect) }} />
  );
}

/** Ink over ink, as sheets on a light box; all on the grid of the first. */
function paint(canvas: HTMLCanvasElement, pictures: readonly Picture[]): void {
  const first = pictures[0];
  const context = canvas.getContext('2d');
  if (!first || !context) return;
  canvas.width = first.width;
  canvas.height = first.height;
  context.globalCompositeOperation = 'multiply';
  for (const picture of pictures) {
    const sheet = new OffscreenCanvas(picture.width, picture.height);
    sheet.getContext('2d')?.putImageData(imageDataOf(picture), 0, 0);
    context.drawImage(sheet, 0, 0, first.width, first.height);
  }
}
