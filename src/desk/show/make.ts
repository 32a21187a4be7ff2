/** Line tests and contact sheets as files, all made here; the heavy writers are fetched when first asked for. */
import { contactCells } from '../../export/contact/cells.ts';
import type { ContactOptions } from '../../export/contact/sheets.ts';
import { fileName } from '../../export/file-name.ts';
import type { LineTestSource } from '../../export/linetest/frames.ts';
import type { MovieForm } from '../../export/linetest/movie.ts';
import { type LineTestPlan, type LineTestWish, planLineTest } from '../../export/linetest/plan.ts';
import { lengthOf, rateOf } from '../../export/linetest/rate.ts';
import { pagePainter } from '../../export/page-painter.ts';
import { reduce } from '../../intake/reduce.ts';
import type { Made, MakeOptions } from '../make-slip.tsx';
import type { PrintPaper } from '../paper-select.tsx';
import type { Session } from '../session.ts';
import { keptPicture } from './kept-pictures.ts';

export const sourceOf = ({ shelf }: Session): LineTestSource => ({
  painter: pagePainter(async () => undefined),
  pictureOf: (image, longEdgePx) => keptPicture(shelf, image, longEdgePx),
  reduce,
});

export type LineTestForm = MovieForm | 'png';

const types = { mp4: 'video/mp4', webm: 'video/webm', png: 'image/png' } as const;

/** `perSecond`: of the shot, or slower where it would flash. Rejects with one sentence. */
export async function makeLineTest(
  session: Session,
  form: LineTestForm,
  wish: Omit<LineTestWish, 'even'>,
  perSecond: number,
  { signal, onProgress }: MakeOptions,
): Promise<Made> {
  const shot = session.shot.peek();
  const plan = planLineTest(shot, { ...wish, even: form !== 'png' });
  const rate = rateOf(perSecond);
  const lacking = new Set<string>();
  const making = { signal, onProgress: (done: number, total: number) => onProgress(done / total) };
  const lacks = ({ sha256 }: { readonly sha256: string }): unknown => lacking.add(sha256);
  const parts =
    form === 'png'
      ? await (await import('../../export/linetest/write-apng.ts')).writeApng(
          plan,
          rate,
          sourceOf(session),
          making,
          lacks,
        )
      : [
          await (await import('../../export/linetest/movie.ts')).writeMovie(
            form,
            plan,
            rate,
            sourceOf(session),
            making,
            lacks,
          ),
        ];
  const slower = perSecond === shot.fps ? '' : ` at ${perSecond} a second`;
  return {
    file: new File(parts, fileName(`${shot.title} line test${slower}.${form}`), { type: types[form] }),
    told: toldOf(plan, shot.fps, perSecond, lacking.size),
  };
}

function toldOf(plan: LineTestPlan, fps: number, perSecond: number, lacking: number): string {
  const seconds = lengthOf(plan.frames, rateOf(perSecond));
  const told = [`${plan.frames} frames, ${seconds.toFixed(2)} s, ${plan.width} × ${plan.height} px.`];
  if (perSecond !== fps)
    told.push(
      `It runs at ${perSecond} frames a second instead of ${fps}, so that it does not flash: its timing is not the shot’s.`,
    );
  if (plan.unclean.length > 0)
    told.push(`No clean-up yet, so the rough stands in for ${plan.unclean.join(', ')}.`);
  if (lacking > 0)
    told.push(
      `${lacking === 1 ? 'A picture is' : `${lacking} pictures are`} not kept on this tablet, and missing in it.`,
    );
  return told.join(' ');
}

export async function makeContact(
  session: Session,
  form: 'pdf' | 'png',
  { layer, paper }: { readonly layer: 'clean' | 'rough'; readonly paper: PrintPaper },
  { signal, onProgress }: MakeOptions,
): Promise<Made> {
  const shot = session.shot.peek();
  const cells = contactCells(shot, layer);
  const { painter, pictureOf } = sourceOf(session);
  const options: ContactOptions = {
    title: shot.title,
    sizePx: shot.sizePx,
    paper,
    painter,
    pictureOf,
    printed: new Date(session.clock.wallMs()).toLocaleDateString(undefined, { dateStyle: 'long' }),
    signal,
    onProgress: (done, total) => onProgress(done / total),
  };
  const file = (content: Uint8Array, end: string, type: string): Made => ({
    file: new File([new Uint8Array(content)], fileName(`${shot.title} contact sheet.${end}`), { type }),
    told: '',
  });
  if (form === 'pdf') {
    const { contactPdf } = await import('../../export/contact/contact-pdf.ts');
    return file(await contactPdf(cells, options), 'pdf', 'application/pdf');
  }
  const { contactPngs, pageNames } = await import('../../export/contact/contact-png.ts');
  const pages = await contactPngs(cells, options);
  const [only] = pages;
  if (pages.length === 1 && only) return file(only, 'png', 'image/png');
  const { zipSync } = await import('fflate');
  const names = pageNames('contact sheet.png', pages.length);
  const entries = Object.fromEntries(pages.map((page, n) => [names[n] ?? '', page] as const));
  // PNG is packed already.
  return file(zipSync(entries, { level: 0 }), 'zip', 'application/zip');
}
