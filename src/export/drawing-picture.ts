/** A drawing with its notes as one picture: the strokes over it, numbered, and the words on a slip below. */
import type { FixRow } from '../note/fix-list.ts';
import { contextOf, type Decoded, exportFont } from './canvas.ts';
import { noteColours } from './note-colours.ts';
import { paintMarks } from './page-painter.ts';
import { wrap } from './wrap.ts';

/** Safari's largest canvas holds 4096 × 4096 px; no edge of ours is longer than twice that. */
const mostPx = 4096 * 4096;
const mostEdgePx = { drawing: 4096, withWords: 8192 } as const;
/** Made smaller than this for the words' sake a drawing says too little: then the words are cut. */
const leastEdgePx = 1600;
/** A picture is mostly looked at about this wide; marks are drawn to be seen then. */
const seenWidth = 900;

interface Room {
  readonly width: number;
  readonly height: number;
  /** Of the words, px. */
  readonly size: number;
  /** Lines that fit on the slip. */
  readonly lines: number;
  readonly slipHeight: number;
}

/**
 * Where drawing and words have room, the drawing at its own size where it can be: words that take more make all of it
 * smaller, as one would on a copier. `linesAt` counts the lines of the words on a slip of that width.
 */
export async function roomFor(
  [fullWidth, fullHeight]: readonly [number, number],
  linesAt: (widthPx: number, size: number) => Promise<number>,
): Promise<Room> {
  const longEdge = Math.max(fullWidth, fullHeight);
  const least = Math.min(1, leastEdgePx / longEdge);
  let shrink = Math.min(1, mostEdgePx.drawing / longEdge);
  for (;;) {
    const [width, height] = [fullWidth, fullHeight].map((edge) => Math.max(1, Math.round(edge * shrink))) as [
      number,
      number,
    ];
    const size = Math.max(13, Math.round(width / 76));
    const lineHeight = size * 1.4;
    const lines = await linesAt(width, size);
    const whole = height + Math.round((lines + 1.6) * lineHeight);
    const over = Math.max((width * whole) / mostPx, (whole / mostEdgePx.withWords) ** 2);
    if (over <= 1) return { width, height, size, lines, slipHeight: whole - height };
    if (shrink <= least) {
      const slipHeight = Math.max(0, Math.min(mostEdgePx.withWords, Math.floor(mostPx / width)) - height);
      return { width, height, size, lines: Math.floor(slipHeight / lineHeight - 1.6), slipHeight };
    }
    // A little smaller than needed: sizes are rounded.
    shrink = Math.max(least, (0.99 * shrink) / Math.sqrt(over));
  }
}

/**
 * PNG of `decoded` with the marks of `rows`, and how wide the drawing is in it: its own width where there is room (long
 * edge ≤ 4096, all of it ≤ 4096 × 4096 px). `title` stands over the words. Throws when the tablet has no room for it.
 */
export async function drawingPicture(
  decoded: Decoded,
  rows: readonly FixRow[],
  title: string,
): Promise<{ readonly png: Blob; readonly widthPx: number }> {
  const linesOn = (widthPx: number, size: number): Promise<Line[]> =>
    slip(rows, title, size, widthPx - 4 * size);
  const { width, height, size, slipHeight, ...room } = await roomFor(
    [decoded.width, decoded.height],
    async (...at) => (await linesOn(...at)).length,
  );
  const all = await linesOn(width, size);
  const lines = all.length > room.lines ? shortened(all, room.lines) : all;
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
  return { png: await canvas.convertToBlob({ type: 'image/png' }), widthPx: width };
}

/** What has no room is counted, so that nobody takes the rest for all. */
function shortened(lines: readonly Line[], room: number): Line[] {
  const kept = Math.max(1, room - 1);
  const text = `and ${lines.length - kept} more lines: see the fix list`;
  return [...lines.slice(0, kept), { text, x: 0, bold: true }];
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
