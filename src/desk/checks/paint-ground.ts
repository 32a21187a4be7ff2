/** A drawing laid out for the paint test: taps on the same drawing ask only the fill again. */

import { reasonOf } from '../../error/sentence.ts';
import { type Fill, fillFrom } from '../../line/fill.ts';
import { type Ink, inkOf } from '../../line/ink.ts';
import { findLeaks, type Leaks } from '../../line/leaks.ts';
import type { Picture } from '../../line/picture.ts';
import { isRefused } from '../../line/refused.ts';
import { type Regions, regionsOf } from '../../line/regions.ts';
import { lineRuns, type Runs } from '../../line/runs.ts';
import { type Skeleton, skeletonOf } from '../../line/skeleton.ts';
import type { Paint, PaintAnswer, PaintQuestion, PaintRuns } from './messages.ts';

interface Ground {
  readonly sha256: string;
  readonly ink: Ink;
  readonly line: Runs;
  readonly skeleton: Skeleton;
  readonly regions: Regions;
  readonly leaks: Map<number, Leaks>;
}

export function createPaintGround(
  open: (sha256: string) => Promise<Picture>,
): (question: PaintQuestion) => Promise<PaintAnswer> {
  let ground: Promise<Ground> | undefined;
  let laid = '';

  return async ({ sha256, x, y, gapPx }) => {
    try {
      if (laid !== sha256) {
        laid = sha256;
        ground = open(sha256).then((picture) => groundOf(sha256, picture));
      }
      const paint = paintAt(await (ground as Promise<Ground>), x, y, gapPx);
      return 'refused' in paint ? paint : { paint };
    } catch (error) {
      laid = '';
      return {
        refused: `This drawing could not be read: ${reasonOf(error)}.`,
      };
    }
  };
}

function groundOf(sha256: string, picture: Picture): Ground {
  const ink = inkOf(picture);
  const line = lineRuns(ink.coverage, picture.width, picture.height);
  return { sha256, ink, line, skeleton: skeletonOf(line), regions: regionsOf(line), leaks: new Map() };
}

function paintAt(
  { ink, line, skeleton, regions, leaks }: Omit<Ground, 'sha256'>,
  x: number,
  y: number,
  gapPx: number,
): Paint | { readonly refused: string } {
  const found = leaks.get(gapPx) ?? findLeaks(ink, line, skeleton, { mostGapPx: gapPx });
  leaks.set(gapPx, found);
  const fill = fillFrom({ regions, leaks: found }, x, y);
  if (isRefused(fill)) return fill;
  const closed = fillFrom({ regions: found.closed, leaks: found }, x, y);
  // A tap in the very gap: there is no region that was meant there.
  const meant = isRefused(closed) ? fill : closed;
  return {
    runs: ownRuns(fill),
    meant: ownRuns(meant),
    meantBox: meant.bbox,
    meantAreaPx2: meant.areaPx2,
    areaPx2: fill.areaPx2,
    holds: fill.holds,
    through: fill.through.map(({ between, widthPx }) => ({ between, widthPx })),
  };
}

/** Of its own buffer, so that it can be sent away. */
const ownRuns = ({ runs }: Fill): PaintRuns => Int32Array.from(runs);
