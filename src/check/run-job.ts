import { measureBoil } from '../line/boil.ts';
import { measureDrawing } from '../line/measure-drawing.ts';
import type { Picture } from '../line/picture.ts';
import { measureSpacing } from '../line/spacing.ts';
import { strangeKind, strangeWords } from '../line/strange.ts';
import type { Workspace } from '../line/workspace.ts';
import type { Request, Result } from './jobs.ts';

/** Does one job; the same code in every worker. `open` turns what was sent into pixels. */
export async function runJob<P>(
  request: Request<P>,
  open: (picture: P) => Promise<Picture> | Picture,
  workspace: Workspace,
): Promise<Result> {
  switch (request.kind) {
    case 'drawing': {
      const clean = await open(request.clean);
      const strange = strangeKind(clean);
      if (strange) throw new Error(`${strangeWords[strange]}, so it was not measured`);
      const rough = request.rough === undefined ? undefined : await open(request.rough);
      return measureDrawing(clean, rough, { mostGapPx: request.mostGapPx }, workspace);
    }
    case 'spacing': {
      const [width, height] = request.sizePx;
      return measureSpacing(request.a, request.b, request.c, { width, height });
    }
    case 'boil': {
      const [width, height] = request.sizePx;
      return measureBoil(request.a, request.b, { width, height });
    }
  }
}
