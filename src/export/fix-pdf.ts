/** The fix list on paper: A4 or Letter, a thumbnail with the strokes and a tick box for each row. */
import { PDFDocument, type PDFPage, rgb } from '@cantoo/pdf-lib';
import { type FixRow, isSettled } from '../note/fix-list.ts';
import { cropRound, type ExportPainter } from './painter.ts';
import { type PdfText, pdfText } from './pdf-text.ts';

export interface FixPdfOptions {
  readonly title: string;
  readonly paper: 'A4' | 'Letter';
  readonly painter: ExportPainter;
  /** When it was printed, as it shall stand there. */
  readonly printed: string;
  readonly signal?: AbortSignal;
  readonly onProgress?: (done: number, total: number) => void;
}

/** PDF points: 210 × 297 mm (ISO 216) and 8½ × 11 in (ANSI A). */
const papers = { A4: [595.28, 841.89], Letter: [612, 792] } as const;
const margin = 40;
const thumb = { width: 150, maxHeight: 110, longEdgePx: 640 };
const gap = 12;
const size = { text: 10, small: 8, number: 15, title: 14 };
const lead = 1.35;
/** Room for the number with its circle or triangle. */
const numberRow = 25;
const ink = rgb(0.08, 0.08, 0.08);
const soft = rgb(0.3, 0.3, 0.3);
const rule = rgb(0.7, 0.7, 0.7);

/** Bytes of the PDF. Rows keep their order; a row is never cut unless it is longer than a page. */
export async function fixPdf(rows: readonly FixRow[], options: FixPdfOptions): Promise<Uint8Array> {
  const doc = await PDFDocument.create();
  doc.setTitle(options.title);
  doc.setProducer('Fairpeg');
  const text = await pdfText(doc, options.painter);
  const [width, height] = papers[options.paper];
  const pages: PDFPage[] = [];
  let y = 0;
  const turn = (): PDFPage => {
    const page = doc.addPage([width, height]);
    pages.push(page);
    y = height - margin - size.title - 14;
    return page;
  };
  let page = turn();
  for (const [index, row] of rows.entries()) {
    options.signal?.throwIfAborted();
    const block = await layRow(doc, text, row, index + 1, rows, width - 2 * margin, options.painter);
    let lines = block.lines;
    if (y - block.height < margin + 16 && y < height - margin - size.title - 20) page = turn();
    await block.drawHead(page, margin, y);
    const textX = margin + thumb.width + gap;
    let at = y - numberRow;
    for (let line = lines.shift(); line !== undefined; line = lines.shift()) {
      if (at < margin + 16) {
        page = turn();
        at = y;
      }
      await text.draw(page, line.text, textX, at - line.size, line.size, line.bold);
      at -= line.size * lead;
    }
    y = Math.min(at, page === pages.at(-1) ? y - block.headHeight : y) - gap;
    page.drawLine({
      start: { x: margin, y: y + gap / 2 },
      end: { x: width - margin, y: y + gap / 2 },
      thickness: 0.4,
      color: rule,
    });
    options.onProgress?.(index + 1, rows.length);
  }
  if (rows.length === 0) await text.draw(page, 'Nothing to mend.', margin, y - size.text, size.text);
  for (const [index, sheet] of pages.entries()) {
    await text.draw(sheet, options.title, margin, height - margin - size.title, size.title, true);
    const foot = `Page ${index + 1} of ${pages.length}`;
    const footWidth = await text.width(foot, size.small);
    await text.draw(sheet, foot, width - margin - footWidth, margin - 14, size.small);
    await text.draw(sheet, options.printed, margin, margin - 14, size.small);
  }
  text.finish();
  return doc.save();
}

interface Line {
  readonly text: string;
  readonly size: number;
  readonly bold: boolean;
}

interface Block {
  readonly lines: Line[];
  readonly height: number;
  readonly headHeight: number;
  drawHead(page: PDFPage, x: number, y: number): Promise<void>;
}

async function layRow(
  doc: PDFDocument,
  text: PdfText,
  row: FixRow,
  number: number,
  rows: readonly FixRow[],
  width: number,
  painter: ExportPainter,
): Promise<Block> {
  const textWidth = width - thumb.width - gap;
  const lines: Line[] = [];
  const add = async (value: string, lineSize: number, bold = false): Promise<void> => {
    if (value.trim() === '') return;
    for (const line of await text.wrap(value, lineSize, textWidth))
      lines.push({ text: line, size: lineSize, bold });
  };
  const numberOf = new Map(rows.map(({ id }, index) => [id, index + 1]));
  const settles = row.maySettle.flatMap((id) => numberOf.get(id) ?? []);
  await add(metaOf(row), size.small);
  await add(`${row.about}, at ${row.place.chart} (${row.place.words})`, size.small);
  await add(row.text, size.text);
  for (const reply of row.replies) await add(`${reply.who}: ${reply.text}`, size.small);
  if (row.drawings.length > 1) await add(`holds for ${row.drawings.join(', ')}`, size.small);
  if (row.knockOn.length > 0) await add(`look again at ${row.knockOn.join(', ')}`, size.small);
  if (settles.length > 0) await add(`may settle ${settles.map((nr) => `no. ${nr}`).join(', ')}`, size.small);

  const bytes = await painter.paintRow(row, cropRound(row.box, row.sizePx), thumb.longEdgePx);
  const image = bytes && (bytes[0] === 0xff ? await doc.embedJpg(bytes) : await doc.embedPng(bytes));
  const [pictureWidth, pictureHeight] = row.sizePx;
  const scale = Math.min(thumb.width / pictureWidth, thumb.maxHeight / pictureHeight);
  const [thumbWidth, thumbHeight] = [pictureWidth * scale, pictureHeight * scale];
  const textHeight = lines.reduce((sum, line) => sum + line.size * lead, numberRow);
  const headHeight = Math.max(thumbHeight, numberRow);

  return {
    lines,
    headHeight,
    height: Math.max(headHeight, textHeight) + gap,
    async drawHead(page, x, y) {
      if (image) page.drawImage(image, { x, y: y - thumbHeight, width: thumbWidth, height: thumbHeight });
      page.drawRectangle({
        x,
        y: y - thumbHeight,
        width: thumbWidth,
        height: thumbHeight,
        borderWidth: 0.5,
        borderColor: soft,
      });
      if (!image) await text.draw(page, 'drawing not kept here', x + 8, y - thumbHeight / 2, size.small);
      const textX = x + thumb.width + gap;
      const base = y - size.number;
      await text.draw(page, `${number}.`, textX, base, size.small);
      const labelX = textX + 26;
      const labelWidth = await text.width(row.drawing, size.number, true);
      await text.draw(page, row.drawing, labelX, base, size.number, true);
      drawNotation(page, row, labelX, base, labelWidth);
      drawTickBox(page, row, x + width - 14, base - 1);
      const stateWidth = await text.width(row.state, size.small);
      await text.draw(page, row.state, x + width - 20 - stateWidth, base, size.small);
    },
  };
}

function metaOf(row: FixRow): string {
  const frames = row.exposedAt.map(({ frame, feet, timecode }) => `${frame} (${feet}, ${timecode})`);
  return [
    row.notation.words,
    row.level === '' ? '' : `level ${row.level}`,
    row.take === undefined ? '' : `take ${row.take}`,
    frames.length === 0 ? 'not exposed' : `at ${frames.join(', ')}`,
    row.who,
    row.whenMs === undefined ? '' : new Date(row.whenMs).toISOString().slice(0, 16).replace('T', ' '),
  ]
    .filter((part) => part !== '')
    .join(' · ');
}

/** Key circled, breakdown underlined, a triangle round what favours one side (common practice, no source). */
function drawNotation(page: PDFPage, row: FixRow, x: number, base: number, width: number): void {
  const line = { thickness: 0.9, color: ink };
  const [left, right, middle] = [x - 4, x + width + 4, x + width / 2];
  if (row.notation.mark === 'circle')
    page.drawEllipse({
      x: middle,
      y: base + 5.2,
      xScale: width / 2 + 6,
      yScale: 10.5,
      borderWidth: 0.9,
      borderColor: ink,
    });
  if (row.notation.mark === 'underline')
    page.drawLine({ start: { x: left, y: base - 3 }, end: { x: right, y: base - 3 }, ...line });
  if (row.notation.triangle) {
    const corners = [
      { x: left - 7, y: base - 4 },
      { x: right + 7, y: base - 4 },
      { x: middle, y: base + 21 },
    ] as const;
    corners.forEach((start, i) => {
      page.drawLine({ start, end: corners[(i + 1) % 3] ?? start, ...line });
    });
  }
}

function drawTickBox(page: PDFPage, row: FixRow, x: number, y: number): void {
  page.drawRectangle({ x, y, width: 12, height: 12, borderWidth: 0.9, borderColor: ink });
  if (!isSettled(row)) return;
  page.drawLine({
    start: { x: x + 2.5, y: y + 6 },
    end: { x: x + 5, y: y + 2.5 },
    thickness: 1.4,
    color: ink,
  });
  page.drawLine({
    start: { x: x + 5, y: y + 2.5 },
    end: { x: x + 10, y: y + 10 },
    thickness: 1.4,
    color: ink,
  });
}
