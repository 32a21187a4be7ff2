import type { Shot } from '../shot/model.ts';
import type { ShotMeasures } from './checker.ts';
import { findBetween } from './find-between.ts';
import { findInDrawing } from './find-in-drawing.ts';
import { findInLevel } from './find-in-level.ts';
import { withPops } from './find-pops.ts';
import type { Finding } from './finding.ts';
import { boilPartner } from './jobs.ts';
import { measuredOf } from './measured.ts';
import { scaled, type Tolerances } from './tolerances.ts';
import { volumeRuns } from './volume-run.ts';

/** Every measure of the shot beyond its tolerance, by level and drawing. A pure function of what was measured. */
export function findingsOf(shot: Shot, measures: ShotMeasures, tolerances: Tolerances): Finding[] {
  const scaledTo = scaled(tolerances, shot.sizePx[0]);
  return shot.levels.flatMap((level) => {
    const measured = measuredOf(level, measures, tolerances.leakPx);
    const runs = volumeRuns(measured);
    const own = measured.map((one, k) =>
      withPops(findInDrawing(level, one, measured, scaledTo), level.name, one, runs[k]!, scaledTo),
    );
    const ownOf = new Map(measured.map(({ drawing }, k) => [drawing.label, own[k]!]));
    const found = [
      ...findInLevel(level, measured),
      ...measured.flatMap((one, k) => {
        const before = boilPartner(level, one.drawing);
        const told = [...own[k]!, ...((before && ownOf.get(before.label)) ?? [])];
        return [...own[k]!, ...findBetween(level, one, told, scaledTo)];
      }),
    ];
    const order = new Map(level.drawings.map(({ label }, index) => [label, index]));
    return found.sort((p, q) => order.get(p.drawing)! - order.get(q.drawing)!);
  });
}
