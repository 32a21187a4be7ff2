/** Marks of a sheet on an OffscreenCanvas. */
import type { Picture } from '../line/picture.ts';
import { contextOf, exportFont } from './canvas.ts';
import type { SheetOptions } from './painter.ts';
import { type SheetMark, sheetInk, sheetSoft } from './sheet-marks.ts';

export async function paintSheet(
  marks: readonly SheetMark[],
  { sizePx: [width, height], scale, paper }: SheetOptions,
): Promise<Picture> {
  const context = contextOf(new OffscreenCanvas(width, height));
  if (paper) {
    context.fillStyle = '#ffffff';
    context.fillRect(0, 0, width, height);
  }
  context.scale(scale, scale);
  context.imageSmoothingQuality = 'high';
  context.lineJoin = 'round';
  context.lineCap = 'round';
  for (const mark of marks) await paint(context, mark);
  const { data } = context.getImageData(0, 0, width, height);
  return { width, height, channels: 4, data: new Uint8Array(data.buffer) };
}

const outlineOf = (d: string): Path2D => new Path2D(d);

async function paint(context: OffscreenCanvasRenderingContext2D, mark: SheetMark): Promise<void> {
  if (mark.kind === 'picture') {
    const bitmap = await createImageBitmap(new Blob([new Uint8Array(mark.png)]));
    context.drawImage(bitmap, mark.x, mark.y, mark.width, mark.height);
    bitmap.close();
    return;
  }
  const edge = mark.edge ?? 0;
  context.strokeStyle = '#ffffff';
  if (mark.kind === 'path') {
    const outline = outlineOf(mark.d);
    if (edge > 0) {
      context.lineWidth = (mark.line ?? 0) + 2 * edge;
      context.stroke(outline);
    }
    context.fillStyle = mark.colour;
    context.strokeStyle = mark.colour;
    if (mark.line === undefined) context.fill(outline);
    else {
      context.lineWidth = mark.line;
      context.stroke(outline);
    }
    return;
  }
  context.font = `${mark.bold ? 'bold ' : ''}${mark.size}px ${exportFont}`;
  context.textAlign = mark.anchor === 'middle' ? 'center' : mark.anchor === 'end' ? 'right' : 'left';
  if (edge > 0) {
    context.lineWidth = 2 * edge;
    context.strokeText(mark.text, mark.x, mark.y);
  }
  context.fillStyle = mark.soft ? sheetSoft : sheetInk;
  context.fillText(mark.text, mark.x, mark.y);
}
