import { SentenceError } from '../error/sentence.ts';
import { withAlong } from '../line/along.ts';
import { measureBoil } from '../line/boil.ts';
import { measureDrawingInSteps } from '../line/measure-drawing.ts';
import { matchPairInSteps } from '../line/path/match-pair.ts';
import { stepPlace } from '../line/path/step-place.ts';
import type { Picture } from '../line/picture.ts';
import { measureSpacing } from '../line/spacing.ts';
import type { Steps } from '../line/steps.ts';
import { strangeKind, strangeWords } from '../line/strange.ts';
import type { Workspace } from '../line/workspace.ts';
import type { Breathe } from '../work/answer.ts';
import type { Request, Result } from './jobs.ts';

/**
 * Does one job; the same code in every worker. `open` turns what was sent into pixels; `breathe` is awaited between
 * steps, so that a worker hears that it is to pause.
 */
export async function runJob<P>(
  request: Request<P>,
  open: (picture: P) => Promise<Picture> | Picture,
  workspace: Workspace,
  breathe: Breathe,
): Promise<Result> {
  await breathe();
  switch (request.kind) {
    case 'drawing': {
      const clean = await open(request.clean);
      await breathe();
      const strange = strangeKind(clean);
      if (strange) throw new SentenceError('strange', `${strangeWords[strange]}, so it was not measured`);
      const rough = request.rough === undefined ? undefined : await open(request.rough);
      await breathe();
      const { mostGapPx } = request;
      return await inTurns(measureDrawingInSteps(clean, rough, { mostGapPx }, workspace), breathe);
    }
    case 'spacing': {
      const [width, height] = request.sizePx;
      return measureSpacing(request.a, request.b, request.c, { width, height });
    }
    case 'boil': {
      const [width, height] = request.sizePx;
      return measureBoil(request.a, request.b, { width, height });
    }
    case 'match': {
      const [width, height] = request.sizePx;
      return await inTurns(matchPairInSteps(request.a, request.b, { width, height }), breathe);
    }
    case 'step':
      return stepPlace(request.place, withAlong(request.a), withAlong(request.b), request.match);
  }
}

async function inTurns<T>(steps: Steps<T>, breathe: Breathe): Promise<T> {
  for (;;) {
    const { done, value } = steps.next();
    if (done) return value;
    await breathe();
  }
}
