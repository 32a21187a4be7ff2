/** The fix list as files, all made here: the heavy writers are fetched when first asked for. */

import { SentenceError } from '../../error/sentence.ts';
import { annotationPage } from '../../export/annotations.ts';
import { drawingPicture } from '../../export/drawing-picture.ts';
import { fileName } from '../../export/file-name.ts';
import { fixCsv } from '../../export/fix-csv.ts';
import { packTexts } from '../../export/pack.ts';
import { pagePainter } from '../../export/page-painter.ts';
import type { FixRow } from '../../note/fix-list.ts';
import { drawingOf } from '../../shot/drawing-ref.ts';
import type { Made, MakeOptions } from '../make-slip.tsx';
import type { PrintPaper } from '../paper-select.tsx';
import type { Session } from '../session.ts';
import { flipSized, fullSized, rememberingLast } from './decoding.ts';
import { fixesOf } from './fixes-desk.ts';
import { redrawnOn, redrawnWords } from './redrawn.ts';

export type Form =
  | { readonly form: 'pdf'; readonly paper: PrintPaper }
  | { readonly form: 'csv' | 'jsonld' | 'pack' }
  /** A drawing with its notes. */
  | { readonly form: 'png'; readonly level: string; readonly drawing: string };

/** Rows as they are shown; a pack holds the whole shot. Rejects with one sentence. */
export async function makeFile(session: Session, form: Form, options: MakeOptions): Promise<Made> {
  const shot = session.shot.peek();
  const rows = fixesOf(session).shown.peek();
  const file = (content: BlobPart, name: string, type: string, told = ''): Made => ({
    file: new File([content], fileName(`${shot.title} ${name}`), { type }),
    told,
  });
  switch (form.form) {
    case 'csv':
      return file(
        fixCsv(rows, (row) => redrawnWords(session, row)),
        'fix list.csv',
        'text/csv',
      );
    case 'jsonld': {
      const page = JSON.stringify(annotationPage(shot.id, rows), undefined, 2);
      return file(`${page}\n`, 'fix list.jsonld', 'application/ld+json');
    }
    case 'pdf': {
      const { bytes, told } = await pdfOf(session, rows, form.paper, options);
      return file(bytes, 'fix list.pdf', 'application/pdf', told);
    }
    case 'pack':
      return file(await packOf(session, options), 'pack.zip', 'application/zip');
    case 'png': {
      const { png, told } = await pngOf(session, form);
      return file(png, `${form.level} ${form.drawing} with notes.png`.trim(), 'image/png', told);
    }
  }
}

async function pdfOf(
  session: Session,
  rows: readonly FixRow[],
  paper: PrintPaper,
  { signal, onProgress }: MakeOptions,
): Promise<{ readonly bytes: Uint8Array<ArrayBuffer>; readonly told: string }> {
  const [{ fixPdf }, { lackingWords }, { pageLetter }] = await Promise.all([
    import('../../export/fix-pdf.ts'),
    import('../../export/pdf-lacking.ts'),
    import('../../export/pdf-letter.ts'),
  ]);
  const { title } = session.shot.peek();
  const painter = pagePainter(rememberingLast((sha256) => flipSized(session.shelf, sha256)));
  const bytes = await fixPdf(rows, {
    title,
    paper,
    painter,
    printed: new Date(session.clock.wallMs()).toISOString().slice(0, 10),
    // As on screen: on paper a word on every row says nothing.
    redrawn: (row) => (redrawnOn(session, row) ? redrawnWords(session, row) : ''),
    signal,
    onProgress: (done, total) => onProgress(done / Math.max(1, total)),
  });
  const told = await lackingWords(title, rows, pageLetter, 'This tablet');
  return { bytes: new Uint8Array(bytes), told };
}

async function packOf(session: Session, { signal, onProgress }: MakeOptions): Promise<Blob> {
  const { writeShotZip } = await import('../../intake/write-shot.ts');
  const shot = session.shot.peek();
  const stream = writeShotZip(shot, (sha256) => session.shelf.file(sha256), {
    extra: packTexts(shot, session.ledger.entries.peek(), fixesOf(session).findings.peek()),
    signal,
    onProgress: (done, total) => onProgress(done / Math.max(1, total)),
  });
  return new Response(stream).blob();
}

/** Rows that hold for a drawing, among those shown. */
export function rowsOn(rows: readonly FixRow[], level: string, drawing: string): FixRow[] {
  return rows.filter((row) => row.level === level && row.drawings.includes(drawing));
}

async function pngOf(
  session: Session,
  { level, drawing }: { level: string; drawing: string },
): Promise<{ readonly png: Blob; readonly told: string }> {
  const shot = session.shot.peek();
  const found = drawingOf(shot, { level, drawing });
  const take = found?.takes.at(-1);
  const image = take?.image ?? found?.rough;
  const decoded = image && (await fullSized(session.shelf, image.sha256));
  if (!decoded)
    throw new SentenceError(
      'missing',
      `There is no picture of ${drawing} on this tablet. Fetch the shot again.`,
    );
  const title = [shot.title, level, `drawing ${drawing}`, take ? `take ${take.number}` : 'rough']
    .filter((part) => part !== '')
    .join(' · ');
  const { png, widthPx } = await drawingPicture(
    decoded,
    rowsOn(fixesOf(session).shown.peek(), level, drawing),
    title,
  );
  const told =
    widthPx < image.width
      ? `The drawing is ${widthPx} px wide in it, not ${image.width} as in its file.`
      : '';
  return { png, told };
}
