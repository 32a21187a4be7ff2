/** Marks of a sheet on a page of a PDF. */
import { type PDFDocument, type PDFPage, rgb } from '@cantoo/pdf-lib';
import type { PdfText } from './pdf-text.ts';
import type { SheetMark } from './sheet-marks.ts';

/** `top` is the PDF's y of the sheet's upper edge, `left` the x of its left one. */
export async function drawSheet(
  doc: PDFDocument,
  page: PDFPage,
  text: PdfText,
  marks: readonly SheetMark[],
  { left = 0, top }: { readonly left?: number; readonly top: number },
): Promise<void> {
  for (const mark of marks) {
    if (mark.kind === 'picture') {
      const { x, y, width, height } = mark;
      page.drawImage(await doc.embedPng(mark.png), { x: left + x, y: top - y - height, width, height });
    } else if (mark.kind === 'text') {
      const width = mark.anchor === undefined ? 0 : await text.width(mark.text, mark.size, mark);
      const x = left + mark.x - (mark.anchor === 'end' ? width : width / 2);
      await text.draw(page, mark.text, x, top - mark.y, mark.size, mark);
    } else {
      const colour = colourOf(mark.colour);
      page.drawSvgPath(mark.d, {
        x: left,
        y: top,
        ...(mark.line === undefined ? { color: colour } : { borderColor: colour, borderWidth: mark.line }),
      });
    }
  }
}

function colourOf(hex: string) {
  const [red = 0, green = 0, blue = 0] = [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16));
  return rgb(red / 255, green / 255, blue / 255);
}
