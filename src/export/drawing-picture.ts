/** A drawing with its notes as one picture: the strokes over it, numbered, and the words on a slip below. */
import type { FixRow } from '../note/fix-list.ts';
import { noteColours } from './note-colours.ts';
import { contextOf, type Decoded, exportFont, paintMarks } from './page-painter.ts';
import { wrap } from './wrap.ts';

/** Safari's largest canvas holds 4096 × 4096 px. */
const mostEdgePx = 4096;
/** A picture is mostly looked at about this wide; marks are drawn to be seen then. */
const seenWidth = 900;
/** Room that the words may take besides. */
const mostHeightPx = 8192;

/**
 * PNG of `decoded` at its own size (long edge ≤ 4096) with the marks of `rows`. `title` stands over the words.
 * Throws when the tablet has no room for it.
 */
export async function drawingPicture(
  decoded: Decoded,
  rows: readonly FixRow[],
  title: string,
): Promise<Blob> {
  const shrink = Math.min(1, mostEdgePx / Math.max(decoded.width, decoded.height));
  const [width, height] = [Math.round(decoded.width * shrink), Math.round(decoded.height * shrink)];
  const size = Math.max(13, Math.round(width / 76));
  const lines = await slip(rows, title, size, width - 4 * size);
  const slipHeight = Math.min(mostHeightPx - height, Math.round((lines.length + 1.6) * size * 1.4));
  const canvas = new OffscreenCanvas(width, height + slipHeight);
  const context = contextOf(canvas);
  context.fillStyle = '#ffffff';
  context.fillRect(0, 0, width, height + slipHeight);
  context.imageSmoothingQuality = 'high';
  context.drawImage(decoded, 0, 0, width, height);
  for (const row of rows) {
    const scale = width / row.sizePx[0];
    context.save();
    context.scale(scale, height / row.sizePx[1]);
    paintMarks(context, row, seenWidth / row.sizePx[0]);
    context.restore();
  }
  for (const row of rows) paintNumber(context, row, [width, height], size);
  context.fillStyle = '#a0a0a0';
  context.fillRect(0, height, width, Math.max(1, Math.round(size / 12)));
  lines.forEach(({ text, x, bold }, n) => {
    context.font = `${bold ? 'bold ' : ''}${size}px ${exportFont}`;
    context.fillStyle = '#141414';
    context.fillText(text, 2 * size + x, height + (n + 1.6) * size * 1.4);
  });
  return canvas.convertToBlob({ type: 'image/png' });
}

/** Beside the upper right end of the mark, held on the paper. */
function paintNumber(
  context: OffscreenCanvasRenderingContext2D,
  { number, box, sizePx, strokes }: FixRow,
  [width, height]: readonly [number, number],
  size: number,
): void {
  const [x, y] = [width / sizePx[0], height / sizePx[1]];
  const hold = (value: number, most: number): number => Math.min(most, Math.max(1.2 * size, value));
  const at = [
    hold((box[0] + box[2]) * x + 0.6 * size, width - 2 * size),
    hold(box[1] * y, height - size),
  ] as const;
  context.font = `bold ${Math.round(1.2 * size)}px ${exportFont}`;
  context.lineJoin = 'round';
  context.lineWidth = size / 3;
  context.strokeStyle = '#ffffff';
  context.strokeText(String(number), ...at);
  context.fillStyle = noteColours[strokes[0]?.colour ?? 'red'];
  context.fillText(String(number), ...at);
}

interface Line {
  readonly text: string;
  readonly x: number;
  readonly bold: boolean;
}

async function slip(rows: readonly FixRow[], title: string, size: number, widthPx: number): Promise<Line[]> {
  const context = contextOf(new OffscreenCanvas(1, 1));
  const indent = 2.4 * size;
  const lines: Line[] = [{ text: title, x: 0, bold: true }];
  const add = async (text: string, mark: string): Promise<void> => {
    context.font = `${size}px ${exportFont}`;
    const parts = await wrap(text, widthPx - indent, (part) => context.measureText(part).width);
    parts.forEach((line, n) => {
      // The number stands in the margin of its first line.
      if (n === 0 && mark) lines.push({ text: `${mark}  ${line}`, x: 0, bold: false });
      else lines.push({ text: line, x: indent, bold: false });
    });
  };
  for (const row of rows) {
    const said = row.who ? ` (${row.who})` : '';
    await add(`${row.about}, at ${row.place.chart}: ${row.text}${said}`, String(row.number));
    for (const { who, text } of row.replies) await add(`${who}: ${text}`, '');
  }
  return lines;
}
