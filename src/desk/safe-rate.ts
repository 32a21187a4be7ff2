/** The highest rate at which a motion does not flash (see `line/flash.ts`), before anything runs by itself. */
import { type FlashStep, flashOfCycle } from '../line/flash.ts';
import type { Picture } from '../line/picture.ts';
import type { ImageRef } from '../shot/model.ts';
import type { Spread } from '../stage/types.ts';
import { compareOf, type DeskModel } from './model.ts';
import { modelsOfMotion } from './motion.ts';
import { seen } from './seen.ts';
import type { Session } from './session.ts';
import { spreadOf } from './spread.ts';

/** For each session, what was found, by everything that it hangs on. */
const found = new WeakMap<Session, Map<string, number>>();

/**
 * Measured on thumbs. WCAG lets patterns finer than 3.4 CSS px be left out, which is about what a thumb's
 * pixel spans while the whole paper is in view; zoomed in, thin lines count for less than they show.
 */
export async function safeRateOf(
  session: Session,
  begun: DeskModel,
  askedPerSecond: number,
  signal: AbortSignal,
): Promise<number> {
  const shot = session.shot.peek();
  const compare = compareOf(begun);
  const steps = stepsOf(
    modelsOfMotion(shot, begun).map((model) => spreadOf(shot, model)),
    begun.motion,
  );
  const zoom = session.stage.peek()?.camera().zoom ?? 1;
  const images = steps.map(({ spread }) => [spread.clean, spread.rough].flat().map(({ sha256 }) => sha256));
  const key = JSON.stringify([compare, zoom.toFixed(2), steps.map(({ frames }) => frames), images]);
  const known = found.get(session) ?? new Map<string, number>();
  found.set(session, known);
  const before = known.get(key);
  if (before !== undefined) return before;

  const thumbs = new Map<string, Picture>();
  const [paperW, paperH] = shot.sizePx;
  const blankPx = [320, Math.max(1, Math.round((320 * paperH) / paperW))] as const;
  const thumbsOf = async (refs: readonly ImageRef[]): Promise<Picture[]> => {
    const pictures: Picture[] = [];
    for (const { sha256 } of refs) {
      const thumb = thumbs.get(sha256) ?? (await session.shelf.picture(sha256, 'thumb'));
      signal.throwIfAborted();
      if (!thumb) continue;
      thumbs.set(sha256, thumb);
      pictures.push(thumb);
    }
    return pictures;
  };
  const shown: FlashStep[] = [];
  for (const { spread, frames } of steps) {
    const clean = await thumbsOf(spread.clean);
    const rough = await thumbsOf(spread.rough);
    shown.push({ picture: onGrid(seen(clean, rough, compare, blankPx), shown[0]?.picture), frames });
  }
  const width = shown[0]?.picture.width ?? 1;
  const panes = compare.way === 'side by side' ? 2 : 1;
  const { safeRateHz } = flashOfCycle(shown, askedPerSecond, {
    cssPxPerPicturePx: (zoom * paperW * panes) / width,
    viewportPx: [innerWidth, innerHeight],
  });
  known.set(key, safeRateHz);
  return safeRateHz;
}

/** Equal neighbours as one step; a roll comes back the way it went. */
function stepsOf(
  spreads: readonly Spread[],
  motion: DeskModel['motion'],
): { readonly spread: Spread; readonly frames: number }[] {
  const inTurn = motion === 'roll' ? [...spreads, ...spreads.slice(1, -1).reverse()] : spreads;
  const steps: { spread: Spread; frames: number }[] = [];
  const same = (a: readonly ImageRef[], b: readonly ImageRef[]): boolean =>
    a.length === b.length && a.every(({ sha256 }, n) => sha256 === b[n]?.sha256);
  for (const spread of inTurn) {
    const last = steps.at(-1);
    if (last && same(last.spread.clean, spread.clean) && same(last.spread.rough, spread.rough)) {
      last.frames += 1;
    } else steps.push({ spread, frames: 1 });
  }
  return steps;
}

/** Drawings of another size are read on the grid of the first: the check wants one size. */
function onGrid(picture: Picture, first: Picture | undefined): Picture {
  if (!first || (picture.width === first.width && picture.height === first.height)) return picture;
  return seen([{ ...first, data: first.data.map(() => 255) }, picture], [], { way: 'clean' }, [1, 1]);
}
