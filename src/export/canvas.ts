/** Canvases for exports on a tablet. */
import { SentenceError } from '../error/sentence.ts';
import type { Picture } from '../line/picture.ts';
import { imageDataOf } from './image-data.ts';

export const exportFont = 'system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", sans-serif';

/** A drawing decoded, on whatever size it is kept in. */
export type Decoded = OffscreenCanvas | ImageBitmap;

export function contextOf(canvas: OffscreenCanvas): OffscreenCanvasRenderingContext2D {
  const context = canvas.getContext('2d');
  if (!context)
    throw new SentenceError(
      'memory',
      'This tablet has no room to paint in just now. Close other pages, then try again.',
    );
  return context;
}

export function canvasOf(picture: Picture): OffscreenCanvas {
  const canvas = new OffscreenCanvas(picture.width, picture.height);
  contextOf(canvas).putImageData(imageDataOf(picture), 0, 0);
  return canvas;
}

export async function bytesOf(
  canvas: OffscreenCanvas,
  type: 'image/png' | 'image/jpeg',
): Promise<Uint8Array> {
  return new Uint8Array(await (await canvas.convertToBlob({ type, quality: 0.9 })).arrayBuffer());
}
