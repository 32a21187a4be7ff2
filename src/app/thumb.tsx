/** A small picture of one drawing on its paper. */
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { Picture } from '../line/picture.ts';

interface ThumbProps {
  /** Named by what it shows; a change of it loads again. */
  readonly id: string;
  readonly load: (signal: AbortSignal) => Promise<Picture | undefined>;
  /** Width ÷ height of the paper, so that nothing jumps when the picture comes. */
  readonly aspect: number;
  readonly label: string;
}

export function Thumb({ id, load, aspect, label }: ThumbProps): JSX.Element {
  const place = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const gone = new AbortController();
    load(gone.signal).then(
      (picture) => {
        if (picture && place.current && !gone.signal.aborted) paint(place.current, picture);
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

function paint(canvas: HTMLCanvasElement, { width, height, channels, data }: Picture): void {
  canvas.width = width;
  canvas.height = height;
  const pixels = new Uint8ClampedArray(4 * width * height);
  if (channels === 4) pixels.set(data);
  else {
    for (let n = 0; n < data.length; n++) {
      pixels.fill(data[n] ?? 255, 4 * n, 4 * n + 3);
      pixels[4 * n + 3] = 255;
    }
  }
  canvas.getContext('2d')?.putImageData(new ImageData(pixels, width, height), 0, 0);
}
