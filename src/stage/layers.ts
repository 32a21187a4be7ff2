/** Canvases above the paper, drawn in paper px: settled strokes, wet ink, marks. */
import { apply, type Frame, type Point, paperToStage } from './camera.ts';
import type { Camera, LayerDraw, StageLayer } from './types.ts';

interface View {
  readonly camera: Camera;
  readonly frames: readonly Frame[];
  /** What is seen through each frame. */
  readonly clips: readonly Frame[];
  readonly sizePx: Point;
  readonly ratio: number;
}

export interface Layers {
  readonly add: (drawn: () => LayerDraw | undefined) => StageLayer;
  /** Draws those that asked; all of them when the view changed. */
  readonly paint: (view: View, all: boolean) => void;
}

export function createLayers(element: HTMLElement, invalidate: () => void): Layers {
  const layers = new Map<HTMLCanvasElement, { drawn: () => LayerDraw | undefined; stale: boolean }>();

  function paintOne(canvas: HTMLCanvasElement, draw: LayerDraw | undefined, view: View): void {
    // A screenful of pixels: it is not laid over the picture, cleared or kept for nothing.
    canvas.style.display = draw ? 'block' : 'none';
    if (!draw) return;
    const { camera, frames, clips, sizePx, ratio } = view;
    const [width, height] = [Math.round(sizePx[0] * ratio), Math.round(sizePx[1] * ratio)];
    if (canvas.width !== width || canvas.height !== height) {
      canvas.width = width;
      canvas.height = height;
    }
    const context = canvas.getContext('2d');
    if (!context) return;
    context.setTransform(1, 0, 0, 1, 0, 0);
    // Not `clearRect`: where nothing is drawn after it, Chromium (seen in 156) shows an older picture again.
    context.globalCompositeOperation = 'copy';
    context.fillStyle = 'rgb(0 0 0 / 0)';
    context.fillRect(0, 0, width, height);
    context.globalCompositeOperation = 'source-over';
    for (const [index, frame] of frames.entries()) {
      const place = paperToStage(camera, frame);
      context.save();
      context.scale(ratio, ratio);
      context.beginPath();
      context.rect(...(clips[index] ?? frame));
      context.clip();
      context.transform(...place);
      draw(context, { camera, toStage: (paper) => apply(place, paper), devicePixelRatio: ratio });
      context.restore();
    }
  }

  return {
    add(drawn) {
      const canvas = document.createElement('canvas');
      canvas.width = 0;
      canvas.style.cssText =
        'position:absolute;inset:0;width:100%;height:100%;pointer-events:none;display:none';
      canvas.setAttribute('aria-hidden', 'true');
      element.append(canvas);
      const layer = { drawn, stale: true };
      layers.set(canvas, layer);
      invalidate();
      return {
        redraw() {
          layer.stale = true;
          invalidate();
        },
        remove() {
          layers.delete(canvas);
          canvas.remove();
          // Its pixels (a screenful) go now: browsers keep those of a canvas until it is collected.
          canvas.width = 0;
        },
      };
    },
    paint(view, all) {
      for (const [canvas, layer] of layers) {
        if (!all && !layer.stale) continue;
        layer.stale = false;
        paintOne(canvas, layer.drawn(), view);
      }
    },
  };
}
