/** What stands between a shot and ink and paint, on paper: A4 or Letter, with the hashes of what was proved. */
import { PDFDocument, type PDFPage } from '@cantoo/pdf-lib';
import { groupedPlaces } from '../check/ready/grouped.ts';
import { rulesWords } from '../check/ready/house.ts';
import type { Proof } from '../check/ready/proof.ts';
import { type ReadyLine, type ReadyPlace } from '../check/ready/ready.ts';
import type { ExportPainter } from './painter.ts';
import { papers } from './papers.ts';
import { ink, lead, rule, size } from './pdf-look.ts';
import { pdfText } from './pdf-text.ts';

interface ReadyPdfOptions {
  readonly paper: 'A4' | 'Letter';
  readonly painter: ExportPainter;
  /** When it was printed, as it shall stand there. */
  readonly printed: string;
}

const margin = 40;
const indent = 22;
/** Of a line's places; the data beside the drawings has all of them. */
const mostPlaces = 40;

const verdict = (ready: boolean): string =>
  ready ? 'Ready for ink and paint' : 'Not ready for ink and paint';

interface TextLine {
  readonly text: string;
  readonly size: number;
  readonly x: number;
  readonly bold?: boolean;
  readonly soft?: boolean;
  /** A box before it, ticked where it holds. */
  readonly box?: ReadyLine['state'];
}

/** Bytes of the PDF. */
export async function readyPdf(
  proof: Proof,
  { paper, painter, printed }: ReadyPdfOptions,
): Promise<Uint8Array> {
  const doc = await PDFDocument.create();
  doc.setTitle(`${proof.title}: ${verdict(proof.ready)}`);
  doc.setProducer('Fairpeg');
  const text = await pdfText(doc, painter);
  const [width, height] = papers[paper];
  const pages: PDFPage[] = [];
  let y = 0;
  const turn = (): PDFPage => {
    const page = doc.addPage([width, height]);
    pages.push(page);
    y = height - margin;
    return page;
  };
  let page = turn();
  for (const line of linesOf(proof)) {
    for (const [n, part] of (
      await text.wrap(line.text, line.size, width - 2 * margin - line.x, line)
    ).entries()) {
      if (y - line.size * lead < margin + 12) page = turn();
      y -= line.size * lead;
      if (n === 0 && line.box) drawBox(page, margin, y - 2, line.box);
      await text.draw(page, part, margin + line.x, y, line.size, line);
    }
    if (line.bold) y -= 2;
  }
  for (const [index, sheet] of pages.entries()) {
    const foot = `Page ${index + 1} of ${pages.length}`;
    await text.draw(sheet, printed, margin, margin - 14, size.small);
    await text.draw(
      sheet,
      foot,
      width - margin - (await text.width(foot, size.small)),
      margin - 14,
      size.small,
    );
    sheet.drawLine({
      start: { x: margin, y: margin - 3 },
      end: { x: width - margin, y: margin - 3 },
      thickness: 0.5,
      color: rule,
    });
  }
  text.finish();
  return doc.save();
}

function linesOf(proof: Proof): TextLine[] {
  const lines: TextLine[] = [
    { text: verdict(proof.ready), size: size.title, x: 0, bold: true },
    { text: proof.title, size: size.title, x: 0 },
    { text: ' ', size: size.small, x: 0 },
  ];
  for (const line of proof.lines) {
    lines.push({ text: line.title, size: size.text, x: indent, bold: true, box: line.state });
    const waits = line.state === 'waits' ? 'not measured yet' : '';
    const says = [line.says, waits].filter((part) => part !== '').join('; ');
    if (says) lines.push({ text: says, size: size.small, x: indent, soft: true });
    lines.push(...placesOf(line.places), ...placesOf(line.unjudged));
    lines.push({ text: ' ', size: 4, x: 0 });
  }
  if (proof.aside.length > 0) {
    lines.push({ text: 'For the eye; this stops nothing', size: size.text, x: indent, bold: true });
    lines.push(...placesOf(proof.aside), { text: ' ', size: 4, x: 0 });
  }
  const house = rulesWords({ kind: 'house rules', ...proof.house });
  lines.push({ text: 'What was proved', size: size.text, x: indent, bold: true });
  lines.push({ text: house || 'No rules of the house for line.', size: size.small, x: indent });
  for (const { name, drawings } of proof.levels)
    for (const { label, take, sha256 } of drawings) {
      const what = sha256 === null ? 'no clean-up' : `take ${take}, SHA-256 ${sha256}`;
      lines.push({ text: `${nameOf(name, label)}: ${what}`, size: 7, x: indent });
    }
  return lines;
}

const nameOf = (level: string, drawing: string): string => (level ? `${level} ${drawing}` : drawing);

function placesOf(places: readonly ReadyPlace[]): TextLine[] {
  const groups = groupedPlaces(places);
  const told = groups.slice(0, mostPlaces).map(({ says, places }): TextLine => {
    const names = places.map(({ level, drawing }) => nameOf(level, drawing)).join(', ');
    return { text: names ? `${names}: ${says}` : says, size: size.small, x: indent };
  });
  const more = groups.length - told.length;
  return more > 0 ? [...told, { text: `and ${more} more`, size: size.small, x: indent }] : told;
}

/** Ticked, crossed, or empty while it is measured. */
function drawBox(page: PDFPage, x: number, y: number, state: ReadyLine['state']): void {
  page.drawRectangle({ x, y, width: 12, height: 12, borderWidth: 0.9, borderColor: ink });
  const strokes = {
    holds: [
      [2.5, 6, 5, 2.5],
      [5, 2.5, 10.5, 11],
    ],
    not: [
      [2.5, 2.5, 9.5, 9.5],
      [2.5, 9.5, 9.5, 2.5],
    ],
    waits: [],
  }[state];
  for (const [x1 = 0, y1 = 0, x2 = 0, y2 = 0] of strokes)
    page.drawLine({
      start: { x: x + x1, y: y + y1 },
      end: { x: x + x2, y: y + y2 },
      thickness: 1.5,
      color: ink,
    });
}
