/** The contact sheet as pictures, one a page, at 150 dots an inch: an A4 page is 1240 × 1754 px. */
import { papers } from '../papers.ts';
import type { ContactCell } from './cells.ts';
import { type ContactOptions, contactSheets } from './sheets.ts';

const pxPerPoint = 150 / 72;

/** A PNG file a page. */
export async function contactPngs(
  cells: readonly ContactCell[],
  options: ContactOptions,
): Promise<Uint8Array[]> {
  const { painter, paper } = options;
  const sizePx = papers[paper].map((edge) => Math.round(edge * pxPerPoint)) as [number, number];
  const pages: Uint8Array[] = [];
  const sheets = contactSheets(cells, options, async (text, size, look) =>
    painter.textWidth(text, size, look?.bold),
  );
  for await (const marks of sheets) {
    const page = await painter.paintSheet(marks, { sizePx, scale: pxPerPoint, paper: true });
    pages.push(await painter.pngOf(page));
  }
  return pages;
}

/** Names of the pages' files: the one that was asked for, then `-2`, `-3` … before its ending. */
export function pageNames(file: string, pages: number): string[] {
  const [, stem = file, end = ''] = /^(.*?)(\.[^./\\]+)?$/s.exec(file) ?? [];
  return Array.from({ length: pages }, (_, page) => (page === 0 ? file : `${stem}-${page + 1}${end}`));
}
