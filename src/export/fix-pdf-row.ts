/** One row of the fix list on paper: tick box, number, drawing in notation, thumbnail, words, frames. */
import type { PDFDocument, PDFImage, PDFPage } from '@cantoo/pdf-lib';
import { type FixRow, isSettled, settlesOf, stateOfRow, wordsOfRow } from '../note/fix-list.ts';
import { cropRound, type ExportPainter } from './painter.ts';
import { ink, lead, size, soft } from './pdf-look.ts';
import type { PdfText } from './pdf-text.ts';
import { numberMarks } from './sheet-marks.ts';
import { drawSheet } from './sheet-pdf.ts';

interface Line {
  readonly text: string;
  readonly size: number;
  readonly bold?: boolean;
  readonly soft?: boolean;
}

export interface Block {
  /** The words, which may run on over several pages. */
  readonly lines: readonly Line[];
  readonly textX: number;
  readonly height: number;
  readonly headHeight: number;
  /** Everything but the words; `y` is the top of the row. */
  drawHead(page: PDFPage, x: number, y: number): Promise<void>;
}

/** Left edges within the row, points; the frames stand at its right edge. */
export const at = { number: 19, drawing: 66, thumb: 100, text: 250 };
const thumb = { width: 138, mostHeight: 104, longEdgePx: 640 };
export const framesWidth = 74;
/** The number's baseline, with room above it for a triangle. */
const numberDrop = 24;
const mostExposures = 4;

export async function layRow(
  doc: PDFDocument,
  text: PdfText,
  row: FixRow,
  rows: readonly FixRow[],
  width: number,
  { painter, redrawn }: { readonly painter: ExportPainter; readonly redrawn?: (row: FixRow) => string },
): Promise<Block> {
  const lines = await wordsOf(row, rows, text, width - at.text - framesWidth - 12, redrawn?.(row) ?? '');
  const crop = cropRound(row.box, row.sizePx);
  const bytes = await painter.paintRow(row, crop, thumb.longEdgePx, thumb.width);
  const image = bytes && (bytes[0] === 0xff ? await doc.embedJpg(bytes) : await doc.embedPng(bytes));
  const scale = Math.min(thumb.width / crop[2], thumb.mostHeight / crop[3]);
  const [thumbWidth, thumbHeight] = [crop[2] * scale, crop[3] * scale];
  const words = lines.reduce((sum, line) => sum + line.size * lead, 0);
  const below = [row.notation.role, row.level, takeOf(row)].filter((part) => part !== '');
  const frames = row.exposedAt.slice(0, mostExposures);
  const headHeight = Math.max(
    thumbHeight + 2,
    numberDrop + 4 + below.length * size.small * lead,
    frames.length * 22 + 10,
  );
  return {
    lines,
    textX: at.text,
    headHeight,
    height: Math.max(headHeight, words),
    async drawHead(page, x, y) {
      drawTickBox(page, row, x, y - 15);
      const number = `${row.number}.`;
      await text.draw(page, number, x + at.number, y - 12.5, size.small);
      await drawNumber(doc, page, text, row, x + at.drawing, y - numberDrop);
      for (const [n, part] of below.entries())
        await drawCentred(page, text, part, x + at.drawing, y - numberDrop - 14 - n * size.small * lead);
      await drawThumb(page, text, image, x + at.thumb, y - 2, [thumbWidth, thumbHeight]);
      await drawFrames(page, text, row, x + width - framesWidth, y);
    },
  };
}

function takeOf(row: FixRow): string {
  if (row.onRough) return 'rough';
  return row.take === undefined ? '' : `take ${row.take}`;
}

async function wordsOf(
  row: FixRow,
  rows: readonly FixRow[],
  text: PdfText,
  width: number,
  redrawn: string,
): Promise<Line[]> {
  const lines: Line[] = [];
  const add = async (value: string, line: Omit<Line, 'text'>): Promise<void> => {
    if (value.trim() === '') return;
    for (const part of await text.wrap(value, line.size, width, line)) lines.push({ ...line, text: part });
  };
  const small = { size: size.small, soft: true };
  const place = row.place.words === row.place.chart ? '' : `, ${row.place.words}`;
  await add(`${row.about} · ${row.place.chart}${place}`, small);
  await add(row.notation.beside.join(', '), { size: size.small });
  await add(wordsOfRow(row), { size: size.text });
  for (const reply of row.replies) await add(`${reply.who}: ${reply.text}`, { size: size.small });
  const others = row.drawings.filter((label) => label !== row.drawing);
  if (others.length > 0) await add(`holds for ${others.join(', ')} too`, { size: size.small });
  if (row.knockOn.length > 0) await add(`then look again at ${row.knockOn.join(', ')}`, { size: size.small });
  const settles = settlesOf(row, rows);
  if (settles.length > 0) await add(`may settle no. ${settles.join(', ')}`, { size: size.small });
  // The name last: one that runs from right to left then turns nothing round but itself.
  const said = [stateOfRow(row), redrawn, whenOf(row), row.who];
  await add(said.filter((part) => part !== '').join(' · '), small);
  return lines;
}

/** In UTC, as in the table: a print travels. */
function whenOf({ whenMs }: FixRow): string {
  return whenMs === undefined ? '' : new Date(whenMs).toISOString().slice(0, 16).replace('T', ' ');
}

async function drawCentred(page: PDFPage, text: PdfText, value: string, x: number, y: number): Promise<void> {
  const wide = await text.width(value, size.small);
  await text.draw(page, value, x - wide / 2, y, size.small, { soft: true });
}

async function drawThumb(
  page: PDFPage,
  text: PdfText,
  image: PDFImage | undefined,
  x: number,
  y: number,
  [width, height]: readonly [number, number],
): Promise<void> {
  if (image) page.drawImage(image, { x, y: y - height, width, height });
  else await text.draw(page, 'drawing not kept here', x + 8, y - height / 2, size.small);
  page.drawRectangle({ x, y: y - height, width, height, borderWidth: 0.5, borderColor: soft });
}

async function drawFrames(page: PDFPage, text: PdfText, row: FixRow, x: number, y: number): Promise<void> {
  if (row.exposedAt.length === 0) {
    await text.draw(page, 'not on the sheet', x, y - 10, size.small, { soft: true });
    return;
  }
  for (const [n, { frame, feet, timecode }] of row.exposedAt.slice(0, mostExposures).entries()) {
    const base = y - 11 - n * 22;
    await text.draw(page, String(frame), x, base, size.text, { bold: true });
    const after = await text.width(String(frame), size.text, { bold: true });
    await text.draw(page, feet, x + Math.max(26, after + 6), base, size.small);
    await text.draw(page, timecode, x, base - 9.5, size.small, { soft: true });
  }
  const more = row.exposedAt.length - mostExposures;
  if (more > 0)
    await text.draw(page, `and ${more} more`, x, y - 9 - mostExposures * 22, size.small, { soft: true });
}

async function drawNumber(
  doc: PDFDocument,
  page: PDFPage,
  text: PdfText,
  { drawing, notation }: FixRow,
  x: number,
  base: number,
): Promise<void> {
  const width = await text.width(drawing, size.number, { bold: true });
  const marks = numberMarks(drawing, notation, { x: 0, y: 0, size: size.number, width });
  await drawSheet(doc, page, text, marks, { left: x, top: base });
}

function drawTickBox(page: PDFPage, row: FixRow, x: number, y: number): void {
  const dashed = row.source === 'finding' ? { borderDashArray: [2, 2] } : {};
  page.drawRectangle({ x, y, width: 12, height: 12, borderWidth: 0.9, borderColor: ink, ...dashed });
  if (!isSettled(row)) return;
  const strokes = [
    [2.5, 6, 5, 2.5],
    [5, 2.5, 10.5, 11],
    ...(row.state === 'approved' ? [[0, -2.5, 12, -2]] : []),
  ];
  for (const [x1 = 0, y1 = 0, x2 = 0, y2 = 0] of strokes)
    page.drawLine({
      start: { x: x + x1, y: y + y1 },
      end: { x: x + x2, y: y + y2 },
      thickness: 1.5,
      color: ink,
    });
}
