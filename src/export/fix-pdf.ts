/** The fix list on paper: A4 or Letter, a thumbnail with the strokes and a tick box for each row. */
import { PDFDocument, type PDFPage } from '@cantoo/pdf-lib';
import { countWords, type FixRow } from '../note/fix-list.ts';
import { at as columns, framesWidth, layRow } from './fix-pdf-row.ts';
import type { ExportPainter } from './painter.ts';
import { papers } from './papers.ts';
import { ink, lead, rule, size } from './pdf-look.ts';
import { pdfText } from './pdf-text.ts';

export interface FixPdfOptions {
  /** Of the shot. */
  readonly title: string;
  readonly paper: 'A4' | 'Letter';
  readonly painter: ExportPainter;
  /** When it was printed, as it shall stand there. */
  readonly printed: string;
  /** What its takes say of a row, where takes were compared; empty where they say nothing. */
  readonly redrawn?: (row: FixRow) => string;
  readonly signal?: AbortSignal;
  readonly onProgress?: (done: number, total: number) => void;
}

const margin = 40;
/** Heights of the head of the first page and of those after it; the foot's rule lies in the margin. */
const heads = { first: 66, later: 40 };
const gap = 13;

/** Bytes of the PDF. Rows keep their order; a row is never cut unless it is longer than a page. */
export async function fixPdf(rows: readonly FixRow[], options: FixPdfOptions): Promise<Uint8Array> {
  const doc = await PDFDocument.create();
  doc.setTitle(`${options.title}: fix list`);
  doc.setProducer('Fairpeg');
  const text = await pdfText(doc, options.painter);
  const [width, height] = papers[options.paper];
  const inner = width - 2 * margin;
  const lowest = margin + 10;
  const pages: PDFPage[] = [];
  let y = 0;
  let top = 0;
  const turn = (): PDFPage => {
    const page = doc.addPage([width, height]);
    pages.push(page);
    top = height - margin - (pages.length === 1 ? heads.first : heads.later);
    y = top;
    return page;
  };
  let page = turn();
  for (const [index, row] of rows.entries()) {
    options.signal?.throwIfAborted();
    const block = await layRow(doc, text, row, rows, inner, options);
    if (y - block.height < lowest && y < top) page = turn();
    await block.drawHead(page, margin, y);
    const onFirst = page;
    let at = y;
    for (const line of block.lines) {
      if (at - line.size * lead < lowest) {
        page = turn();
        at = y;
      }
      at -= line.size * lead;
      await text.draw(page, line.text, margin + block.textX, at + 0.3 * line.size, line.size, line);
    }
    y = Math.min(at, page === onFirst ? y - block.headHeight : y) - gap;
    drawRule(page, y + gap / 2, 0.5);
    options.onProgress?.(index + 1, rows.length);
  }
  if (rows.length === 0) await text.draw(page, 'Nothing to mend.', margin, y - 20, size.text);
  for (const [index, sheet] of pages.entries()) await drawHeadAndFoot(sheet, index);
  text.finish();
  return doc.save();

  function drawRule(sheet: PDFPage, at: number, thickness: number): void {
    const [start, end] = [
      { x: margin, y: at },
      { x: width - margin, y: at },
    ];
    sheet.drawLine({ start, end, thickness, color: thickness > 1 ? ink : rule });
  }

  /** A frame's number and a drawing's look alike: each column says what it holds. */
  async function drawColumns(sheet: PDFPage, y: number): Promise<void> {
    if (rows.length === 0) return;
    const look = { soft: true };
    const drawing = 'Drawing';
    const half = (await text.width(drawing, size.small)) / 2;
    await text.draw(sheet, 'Nr', margin + columns.number, y, size.small, look);
    await text.draw(sheet, drawing, margin + columns.drawing - half, y, size.small, look);
    await text.draw(sheet, 'Place', margin + columns.thumb, y, size.small, look);
    await text.draw(sheet, 'What is to be done', margin + columns.text, y, size.small, look);
    await text.draw(sheet, 'From frame', width - margin - framesWidth, y, size.small, look);
  }

  async function drawHeadAndFoot(sheet: PDFPage, index: number): Promise<void> {
    const count = countWords(rows);
    const countWidth = await text.width(count, size.small);
    if (index === 0) {
      const at = height - margin - size.title;
      await text.draw(sheet, 'Fix list', margin, at, size.title, { bold: true });
      const x = margin + (await text.width('Fix list', size.title, { bold: true })) + 10;
      const [title = ''] = await text.wrap(options.title, size.title, width - margin - x);
      await text.draw(sheet, title, x, at, size.title);
      await text.draw(sheet, count, margin, at - 16, size.small);
      drawRule(sheet, at - 22, 1.6);
      await drawColumns(sheet, at - 34);
    } else {
      const at = height - margin - size.small;
      const [title = ''] = await text.wrap(
        `Fix list · ${options.title}`,
        size.small,
        inner - countWidth - 20,
      );
      await text.draw(sheet, title, margin, at, size.small);
      await text.draw(sheet, count, width - margin - countWidth, at, size.small);
      drawRule(sheet, at - 5, 1.2);
      await drawColumns(sheet, at - 17);
    }
    const foot = `Page ${index + 1} of ${pages.length}`;
    const footWidth = await text.width(foot, size.small);
    await text.draw(sheet, foot, width - margin - footWidth, margin - 14, size.small);
    await text.draw(sheet, options.printed, margin, margin - 14, size.small);
  }
}
