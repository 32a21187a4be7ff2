/** Paints for exports on a tablet: an OffscreenCanvas and the system's fonts. */
import type { Box } from '../line/picture.ts';
import type { FixRow } from '../note/fix-list.ts';
import { bytesOf, canvasOf, contextOf, type Decoded, exportFont } from './canvas.ts';
import { marksOf } from './marks.ts';
import type { ExportPainter, PaintedText } from './painter.ts';
import { paintSheet } from './sheet-canvas.ts';

/** Canvas px a PDF point: 4 are 288 dpi, fine enough for print. */
const textScale = 4;
type Context = CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D;

/**
 * The part `crop` of a row's drawing, on white paper, its marks over it, filling a canvas of `width` × `height`,
 * seen `shownWidth` wide.
 * `decoded` may be smaller than the row's picture.
 */
export function paintPlace(
  context: Context,
  decoded: Decoded | undefined,
  row: Pick<FixRow, 'strokes' | 'box' | 'spots' | 'sizePx'>,
  [left, top, cropWidth, cropHeight]: Box,
  [width, height]: readonly [number, number],
  shownWidth: number,
): void {
  context.fillStyle = '#ffffff';
  context.fillRect(0, 0, width, height);
  context.imageSmoothingQuality = 'high';
  if (decoded) {
    const [x, y] = [decoded.width / row.sizePx[0], decoded.height / row.sizePx[1]];
    context.drawImage(decoded, left * x, top * y, cropWidth * x, cropHeight * y, 0, 0, width, height);
  }
  context.save();
  context.scale(width / cropWidth, height / cropHeight);
  context.translate(-left, -top);
  paintMarks(context, row, shownWidth / cropWidth);
  context.restore();
}

/** `context` is in px of the row's picture; `scale` as in `marksOf`. */
export function paintMarks(
  context: Context,
  row: Pick<FixRow, 'strokes' | 'box' | 'spots'>,
  scale: number,
): void {
  context.lineJoin = 'round';
  context.lineCap = 'round';
  const marks = marksOf(row, scale).map((mark) => ({ ...mark, path: new Path2D(mark.d) }));
  // All edges first: no stroke of a note cuts into another.
  for (const { path, widthPx = 0, edgePx } of marks) {
    context.strokeStyle = '#ffffff';
    context.lineWidth = widthPx + 2 * edgePx;
    context.stroke(path);
  }
  for (const { path, colour, widthPx } of marks) {
    context.fillStyle = colour;
    context.strokeStyle = colour;
    if (widthPx === undefined) context.fill(path);
    else {
      context.lineWidth = widthPx;
      context.stroke(path);
    }
  }
}

/** `decode` gives a drawing by SHA-256, undefined when it is not kept here. */
export function pagePainter(decode: (sha256: string) => Promise<Decoded | undefined>): ExportPainter {
  const measuring = contextOf(new OffscreenCanvas(1, 1));
  const textWidth = (text: string, size: number, bold = false): number => {
    measuring.font = `${bold ? 'bold ' : ''}${size * textScale}px ${exportFont}`;
    return measuring.measureText(text).width / textScale;
  };
  return {
    textWidth,
    async paintText(text, size): Promise<PaintedText> {
      const [width, height, baseline] = [Math.ceil(textWidth(text, size)) + size / 2, size * 1.6, size * 1.1];
      const canvas = new OffscreenCanvas(Math.ceil(width * textScale), Math.ceil(height * textScale));
      const context = contextOf(canvas);
      context.font = `${size * textScale}px ${exportFont}`;
      context.fillText(text, 0, baseline * textScale);
      return { png: await bytesOf(canvas, 'image/png'), width, height, baseline };
    },
    async paintRow(row, crop, longEdgePx, shownWidth) {
      const decoded = row.image === undefined ? undefined : await decode(row.image);
      if (!decoded) return undefined;
      const scale = Math.min(1, longEdgePx / Math.max(crop[2], crop[3]));
      const size = [Math.round(crop[2] * scale), Math.round(crop[3] * scale)] as const;
      const canvas = new OffscreenCanvas(...size);
      paintPlace(contextOf(canvas), decoded, row, crop, size, shownWidth);
      return bytesOf(canvas, 'image/jpeg');
    },
    paintSheet,
    pngOf: (picture) => bytesOf(canvasOf(picture), 'image/png'),
  };
}
