/** The painter for a browser without WebGL2: slower and hungrier, the same pictures. */
import type { Box, Picture } from '../line/picture.ts';
import type { Point } from './camera.ts';
import type { Cutting, LaidPane, LaidPly, Painter, Rgb, Scene, Sheet } from './painter.ts';

interface Piece {
  readonly ink: OffscreenCanvas;
  /** Part of the picture it fills, 0..1. */
  readonly part: Box;
}
interface CanvasSheet extends Sheet {
  readonly pieces: readonly Piece[];
}

const HATCH_PX = 6;
const css = (rgb: Rgb) => `rgb(${rgb.map((part) => Math.round(part * 255)).join(' ')})`;

export function createCanvasPainter(canvas: HTMLCanvasElement): Painter {
  const target = canvas.getContext('2d', { alpha: false });
  if (!target) throw new Error('This browser can draw neither with WebGL nor on a canvas.');
  const context = target;
  let size: Point = [1, 1];
  let ratio = 1;

  function paintPly(on: OffscreenCanvasRenderingContext2D | CanvasRenderingContext2D, ply: LaidPly): void {
    const [x, y, width, height] = ply.box;
    on.globalAlpha = ply.opacity;
    for (const { ink, part } of (ply.sheet as CanvasSheet).pieces) {
      const picture = ply.tint ? tinted(ink, ply.tint) : ink;
      on.drawImage(picture, x + part[0] * width, y + part[1] * height, part[2] * width, part[3] * height);
    }
    on.globalAlpha = 1;
  }

  /** A canvas of the whole stage with the pane's camera, for what must be put together apart. */
  function apart(pane: LaidPane): OffscreenCanvasRenderingContext2D {
    const on = new OffscreenCanvas(size[0], size[1]).getContext('2d') as OffscreenCanvasRenderingContext2D;
    on.scale(ratio, ratio);
    on.transform(...pane.place);
    return on;
  }

  /** Ink of one layer, less that of the other, in one colour. */
  function only(pane: LaidPane, layer: 'clean' | 'rough', colour: Rgb | CanvasPattern): OffscreenCanvas {
    const on = apart(pane);
    for (const ply of pane.plies) if (ply.layer === layer) paintPly(on, ply);
    on.globalCompositeOperation = 'destination-out';
    for (const ply of pane.plies) if (ply.layer !== layer) paintPly(on, ply);
    fill(on, 'source-in', colour instanceof CanvasPattern ? colour : css(colour));
    return on.canvas;
  }

  function fill(
    on: OffscreenCanvasRenderingContext2D,
    operation: GlobalCompositeOperation,
    style: string | CanvasPattern,
  ): void {
    on.resetTransform();
    on.globalCompositeOperation = operation;
    on.fillStyle = style;
    on.fillRect(0, 0, size[0], size[1]);
  }

  function both(pane: LaidPane): OffscreenCanvas {
    const on = apart(pane);
    for (const ply of pane.plies) if (ply.layer === 'clean') paintPly(on, ply);
    const rough = apart(pane);
    for (const ply of pane.plies) if (ply.layer === 'rough') paintPly(rough, ply);
    on.resetTransform();
    on.globalCompositeOperation = 'destination-in';
    on.drawImage(rough.canvas, 0, 0);
    fill(on, 'source-in', 'rgb(0 0 0 / 0.25)');
    return on.canvas;
  }

  /** Slopes as the shader's does: down to the right. */
  function hatch(colour: Rgb): CanvasPattern {
    const side = Math.max(2, Math.round(HATCH_PX * ratio));
    const on = new OffscreenCanvas(side, side).getContext('2d') as OffscreenCanvasRenderingContext2D;
    on.fillStyle = css(colour);
    for (let row = 0; row < side; row++)
      for (let column = 0; column < side; column++)
        if ((column - row + side) % side < side / 2) on.fillRect(column, row, 1, 1);
    return context.createPattern(on.canvas, 'repeat') as CanvasPattern;
  }

  function paintDifference(pane: LaidPane, scene: Scene): void {
    const pictures = [
      both(pane),
      only(pane, 'rough', hatch(scene.roughOnly)),
      only(pane, 'clean', scene.cleanOnly),
    ];
    context.resetTransform();
    for (const picture of pictures) context.drawImage(picture, 0, 0);
  }

  return {
    kind: '2d',
    maxCuttingPx: 2048,
    bytesOf: (pixels) => pixels * 4,
    resize(widthPx, heightPx, devicePixelRatio) {
      canvas.width = widthPx;
      canvas.height = heightPx;
      size = [widthPx, heightPx];
      ratio = devicePixelRatio;
    },
    upload(picture) {
      const ink = new OffscreenCanvas(picture.width, picture.height);
      ink.getContext('2d')?.putImageData(inkOf(picture), 0, 0);
      const sheet: CanvasSheet = {
        bytes: picture.width * picture.height * 4,
        pieces: [{ ink, part: [0, 0, 1, 1] }],
      };
      return sheet;
    },
    addCutting(onto, { bitmap, box }: Cutting, [imageW, imageH]) {
      const { width, height } = bitmap;
      const ink = new OffscreenCanvas(width, height);
      const on = ink.getContext('2d') as OffscreenCanvasRenderingContext2D;
      on.drawImage(bitmap, 0, 0);
      const { data } = on.getImageData(0, 0, width, height);
      on.putImageData(inkOf({ width, height, channels: 4, data: new Uint8Array(data.buffer) }), 0, 0);
      const part: Box = [box[0] / imageW, box[1] / imageH, box[2] / imageW, box[3] / imageH];
      const sheet: CanvasSheet = {
        bytes: (onto?.bytes ?? 0) + width * height * 4,
        pieces: [...((onto as CanvasSheet | undefined)?.pieces ?? []), { ink, part }],
      };
      return sheet;
    },
    free(sheet) {
      for (const { ink } of (sheet as CanvasSheet).pieces) ink.width = 0;
    },
    paint(scene) {
      context.resetTransform();
      context.fillStyle = css(scene.surround);
      context.fillRect(0, 0, size[0], size[1]);
      for (const pane of scene.panes) {
        context.save();
        context.scale(ratio, ratio);
        context.beginPath();
        context.rect(...pane.clip);
        context.clip();
        context.transform(...pane.place);
        context.imageSmoothingQuality = 'high';
        context.fillStyle = css(scene.paper);
        context.fillRect(0, 0, ...scene.paperPx);
        if (pane.blend === 'difference') paintDifference(pane, scene);
        else for (const ply of pane.plies) paintPly(context, ply);
        context.restore();
      }
    },
    destroy() {},
  };
}

function tinted(ink: OffscreenCanvas, tint: Rgb): OffscreenCanvas {
  const on = new OffscreenCanvas(ink.width, ink.height).getContext('2d') as OffscreenCanvasRenderingContext2D;
  on.drawImage(ink, 0, 0);
  on.globalCompositeOperation = 'source-in';
  on.fillStyle = css(tint);
  on.fillRect(0, 0, ink.width, ink.height);
  return on.canvas;
}

/** Ink on clear paper, not premultiplied (see painter.ts). */
function inkOf({ width, height, channels, data }: Picture): ImageData {
  const out = new Uint8ClampedArray(width * height * 4);
  for (let pixel = 0; pixel < width * height; pixel++) {
    const at = pixel * 4;
    if (channels === 1) {
      out[at + 3] = 255 - (data[pixel] as number);
      continue;
    }
    const alpha = (data[at + 3] as number) / 255;
    const onWhite = [0, 1, 2].map((part) => (data[at + part] as number) * alpha + 255 * (1 - alpha));
    const low = Math.min(...onWhite);
    out[at + 3] = 255 - low;
    if (low < 255)
      for (const [part, value] of onWhite.entries()) out[at + part] = ((value - low) * 255) / (255 - low);
  }
  return new ImageData(out, width, height);
}
