/** The contact sheet on paper: A4 or Letter. */
import { PDFDocument } from '@cantoo/pdf-lib';
import { papers } from '../papers.ts';
import { pdfText } from '../pdf-text.ts';
import { drawSheet } from '../sheet-pdf.ts';
import type { ContactCell } from './cells.ts';
import { type ContactOptions, contactSheets } from './sheets.ts';

/** Bytes of the PDF. */
export async function contactPdf(
  cells: readonly ContactCell[],
  options: ContactOptions,
): Promise<Uint8Array> {
  const doc = await PDFDocument.create();
  doc.setTitle(`${options.title}: contact sheet`);
  doc.setProducer('Fairpeg');
  const text = await pdfText(doc, options.painter);
  const [width, height] = papers[options.paper];
  for await (const marks of contactSheets(cells, options, (...asked) => text.width(...asked)))
    await drawSheet(doc, doc.addPage([width, height]), text, marks, { top: height });
  text.finish();
  return doc.save();
}
