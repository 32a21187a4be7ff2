/** Checks that passed on the take before and fail on the newest. Pure. */
import type { Box } from '../../line/picture.ts';
import type { FixFinding } from '../../note/fix-list.ts';
import type { Shot } from '../../shot/model.ts';

/** Places this near are one fault, in shares of the paper's width: a redrawn line moves what is wrong with it. */
const samePlace = 1 / 20;

/**
 * The shot as it was before its retakes: each drawing with the take before its newest. Undefined when no
 * drawing has a retake.
 */
export function beforeRetakes(shot: Shot): Shot | undefined {
  const isRetaken = shot.levels.some(({ drawings }) => drawings.some(({ takes }) => takes.length > 1));
  if (!isRetaken) return undefined;
  return {
    ...shot,
    levels: shot.levels.map((level) => ({
      ...level,
      drawings: level.drawings.map((drawing) =>
        drawing.takes.length > 1 ? { ...drawing, takes: drawing.takes.slice(0, -1) } : drawing,
      ),
    })),
  };
}

/**
 * Findings of now that have no like in `before`: of the same check on the same drawing, by key or near the
 * same place. `widthPx` is the paper's.
 */
export function freshFindings<F extends FixFinding>(
  now: readonly F[],
  before: readonly FixFinding[],
  widthPx: number,
): F[] {
  return now.filter((finding) => !before.some((old) => isLike(old, finding, widthPx)));
}

/** Whether a finding of before has its like among those of now. */
export const stillFails = (old: FixFinding, now: readonly FixFinding[], widthPx: number): boolean =>
  now.some((finding) => isLike(old, finding, widthPx));

function isLike(a: FixFinding, b: FixFinding, widthPx: number): boolean {
  return (
    a.check === b.check &&
    a.level === b.level &&
    a.drawing === b.drawing &&
    (a.key === b.key || apart(a.bbox, b.bbox) <= widthPx * samePlace)
  );
}

const apart = (a: Box, b: Box): number =>
  Math.hypot(a[0] + a[2] / 2 - b[0] - b[2] / 2, a[1] + a[3] / 2 - b[1] - b[3] / 2);
