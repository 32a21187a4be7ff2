/**
 * All drawings of a shot as small pictures on pages: laid out once, for PDF and for PNG. Pictures are asked for one at a
 * time and kept as small files only, so that a hundred drawings at 4K never lie in memory together.
 */
import type { Picture } from '../../line/picture.ts';
import type { ImageRef } from '../../shot/model.ts';
import type { ExportPainter } from '../painter.ts';
import { papers } from '../papers.ts';
import { frameMark, numberMarks, ruleMark, type SheetMark } from '../sheet-marks.ts';
import type { ContactCell } from './cells.ts';

export interface ContactOptions {
  /** Of the shot. */
  readonly title: string;
  readonly sizePx: readonly [number, number];
  readonly paper: 'A4' | 'Letter';
  readonly painter: ExportPainter;
  /** On opaque white paper, long edge at most so many px; undefined when it is not kept here. */
  readonly pictureOf: (image: ImageRef, longEdgePx: number) => Promise<Picture | undefined>;
  /** When it was made, as it shall stand there. */
  readonly printed: string;
  readonly signal?: AbortSignal;
  readonly onProgress?: (done: number, total: number) => void;
}

/** Width of a text, points. */
export type WidthOf = (text: string, size: number, look?: { readonly bold?: boolean }) => Promise<number>;

const margin = 40;
const headHeight = 34;
const footHeight = 14;
const columns = 4;
const gap = 14;
/** Below a picture: number, role and level, frames. */
const wordsHeight = 48;
const size = { title: 15, number: 11.5, small: 7.6 };
/** Small pictures at about 190 dpi; a tablet keeps every drawing at this size. */
const longEdgePx = 320;
/** A tall paper gets no cell higher than this share of its width. */
const mostHeightShare = 1.25;

/** The marks of each page, in points; at least one page. */
export async function* contactSheets(
  cells: readonly ContactCell[],
  options: ContactOptions,
  widthOf: WidthOf,
): AsyncGenerator<SheetMark[]> {
  const [width, height] = papers[options.paper];
  const inner = width - 2 * margin;
  const cellWidth = (inner - (columns - 1) * gap) / columns;
  const [paperW, paperH] = options.sizePx;
  const boxHeight = cellWidth * Math.min(mostHeightShare, paperH / paperW);
  const pitch = boxHeight + wordsHeight;
  const rows = Math.max(1, Math.floor((height - 2 * margin - headHeight - footHeight) / pitch));
  const perPage = rows * columns;
  const pages = Math.max(1, Math.ceil(cells.length / perPage));
  for (let page = 0; page < pages; page++) {
    const marks = await headAndFoot(page, pages, cells.length, options, widthOf);
    const here = cells.slice(page * perPage, (page + 1) * perPage);
    for (const [index, cell] of here.entries()) {
      options.signal?.throwIfAborted();
      const x = margin + (index % columns) * (cellWidth + gap);
      const y = margin + headHeight + Math.floor(index / columns) * pitch;
      marks.push(...(await cellMarks(cell, [x, y, cellWidth, boxHeight], options, widthOf)));
      options.onProgress?.(page * perPage + index + 1, cells.length);
    }
    yield marks;
  }
}

async function headAndFoot(
  page: number,
  pages: number,
  count: number,
  { title, paper, printed }: ContactOptions,
  widthOf: WidthOf,
): Promise<SheetMark[]> {
  const [width, height] = papers[paper];
  const [right, foot] = [width - margin, height - margin + 10];
  const drawings = count === 1 ? '1 drawing' : `${count} drawings`;
  const room = right - margin - (await widthOf(drawings, size.small)) - 20;
  return [
    {
      kind: 'text',
      text: await cut(`${title}: contact sheet`, room, (text) => widthOf(text, size.title, { bold: true })),
      x: margin,
      y: margin + size.title,
      size: size.title,
      bold: true,
    },
    { kind: 'text', text: drawings, x: right, y: margin + size.title, size: size.small, anchor: 'end' },
    ruleMark(margin, margin + size.title + 7, right - margin, 1.4),
    { kind: 'text', text: printed, x: margin, y: foot, size: size.small, soft: true },
    {
      kind: 'text',
      text: `Page ${page + 1} of ${pages}`,
      x: right,
      y: foot,
      size: size.small,
      anchor: 'end',
      soft: true,
    },
  ];
}

async function cellMarks(
  cell: ContactCell,
  [x, y, width, height]: readonly [number, number, number, number],
  { pictureOf, painter }: ContactOptions,
  widthOf: WidthOf,
): Promise<SheetMark[]> {
  const marks: SheetMark[] = [];
  const picture = cell.image && (await pictureOf(cell.image, longEdgePx));
  const says = cell.image ? 'not kept here' : 'no picture';
  const middle = x + width / 2;
  if (picture) {
    const scale = Math.min(width / picture.width, height / picture.height);
    const [wide, high] = [picture.width * scale, picture.height * scale];
    const at = { x: middle - wide / 2, y: y + (height - high) / 2, width: wide, height: high };
    marks.push({ kind: 'picture', png: await painter.pngOf(picture), ...at });
  } else
    marks.push({
      kind: 'text',
      text: says,
      x: middle,
      y: y + height / 2,
      size: size.small,
      anchor: 'middle',
      soft: true,
    });
  marks.push(frameMark(x, y, width, height));
  const base = y + height + 20;
  const wide = await widthOf(cell.label, size.number, { bold: true });
  // Clear of the edge, whatever is drawn round the number.
  const number = x + wide / 2 + 0.95 * size.number;
  marks.push(
    ...numberMarks(cell.label, cell.notation, { x: number, y: base, size: size.number, width: wide }),
  );
  const textX = number + wide / 2 + 0.95 * size.number;
  const { role, favours, beside: said } = cell.notation;
  const nearer = [favours === undefined ? '' : `nearer to ${favours}`, ...said].filter(Boolean).join(', ');
  const beside = [role, cell.level, cell.instead ?? ''].filter((part) => part !== '').join(' · ');
  const lines = [
    { text: beside, x: textX, y: base - (nearer ? 6 : 0) },
    { text: nearer, x: textX, y: base + 3.5 },
    { text: cell.frames, x, y: base + 15 },
  ];
  for (const line of lines) {
    const text = await cut(line.text, x + width - line.x, (part) => widthOf(part, size.small));
    if (text) marks.push({ kind: 'text', size: size.small, ...line, text });
  }
  return marks;
}

/** What fits, with three dots for the rest. */
async function cut(text: string, room: number, widthOf: (text: string) => Promise<number>): Promise<string> {
  if ((await widthOf(text)) <= room) return text;
  const letters = Array.from(text);
  for (let end = letters.length - 1; end > 0; end--) {
    const shorter = `${letters.slice(0, end).join('').trimEnd()}…`;
    if ((await widthOf(shorter)) <= room) return shorter;
  }
  return '';
}
