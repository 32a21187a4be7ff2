/** What the checks found of a drawing that can be put right by itself. Pure. */

import { straySpecks } from '../../check/find-in-drawing.ts';
import type { Measured } from '../../check/measured.ts';
import { isRefused } from '../../line/refused.ts';
import type { HouseRules } from '../../note/entry.ts';
import type { FixFinding } from '../../note/fix-list.ts';
import type { Standing } from '../../note/standing.ts';
import type { Drawing, Level } from '../../shot/model.ts';
import type { MendPlaces } from './messages.ts';

/** A finding's box stands round whole px, px. */
const roundingPx = 1;

/** Gaps and specks that were called off and that nobody dismissed; undefined while the drawing is not measured. */
export function mendPlacesOf(
  { level, drawing }: { readonly level: Level; readonly drawing: Drawing },
  all: readonly Measured[],
  listed: readonly Standing<FixFinding>[],
  rules: HouseRules,
): MendPlaces | undefined {
  const measures = all.find((one) => one.drawing.label === drawing.label)?.measures;
  if (!measures) return undefined;
  const called = (check: FixFinding['check']): FixFinding[] =>
    listed.flatMap(({ standing, finding }) =>
      standing !== 'dismissed' &&
      finding.check === check &&
      finding.level === level.name &&
      finding.drawing === drawing.label
        ? [finding]
        : [],
    );
  const gapsCalled = called('leaks');
  const leaks = isRefused(measures.leaks) ? [] : measures.leaks;
  const gaps = leaks.filter(({ xPx, yPx }) =>
    gapsCalled.some(
      ({ bbox: [x, y, width, height] }) =>
        Math.abs(x + width / 2 - xPx) <= roundingPx && Math.abs(y + height / 2 - yPx) <= roundingPx,
    ),
  );
  const specks = called('specks').length > 0 ? straySpecks(measures, all) : [];
  return {
    gaps: gaps.map(({ between }) => between),
    specks: specks.map(({ xPx, yPx }) => [xPx, yPx] as const),
    ends: gaps.length > 0 ? measures.ends : [],
    rules,
  };
}
