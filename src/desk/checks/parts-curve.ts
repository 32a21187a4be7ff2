/** The volume of each part over the frames of a level, and what of it is not known. Pure. */

import { withoutDetails } from '../../check/find-pops.ts';
import { placeInWords } from '../../check/finding.ts';
import type { Tolerances } from '../../check/tolerances.ts';
import type { PartRun } from '../../check/volume-run.ts';
import { median } from '../../line/statistics.ts';
import type { Level } from '../../shot/model.ts';
import { type Curve, type CurvePoint, percent, usualBands } from './curves.ts';

/** The volume of every part that is followed, a line each: 0 is the part's own median over the shot. */
export interface PartsCurve extends Curve {
  readonly lines: readonly (readonly CurvePoint[])[];
  /** Frames of the exposures of which half of the parts' area or more could not be judged. */
  readonly unsureAt: readonly number[];
  /** By drawing: how far a part pops, or how many of its parts could be judged. */
  readonly says: ReadonlyMap<string, string>;
}

/** Drawings that a part must be followed through to be drawn as a line. */
const LEAST_FOLLOWED = 3;

/**
 * `runs`: of each drawing of the level, in its order. A point is solid where the part pops beyond the tolerance; the strip
 * is as wide as the part that changes most.
 */
export function partsCurve(
  level: Level,
  runs: readonly (readonly PartRun[])[],
  { volume: band }: Tolerances,
  called: ReadonlySet<string>,
): PartsCurve {
  const chains = new Map<number, Map<string, PartRun>>();
  const ofDrawing = new Map(
    level.drawings.map(({ label }, k) => [label, withoutDetails(runs[k] ?? [])] as const),
  );
  for (const [label, parts] of ofDrawing)
    for (const run of parts) {
      if (!run.part) continue;
      const chain = chains.get(run.chain) ?? new Map<string, PartRun>();
      chains.set(run.chain, chain.set(label, run));
    }
  const lines = [...chains.values()]
    .filter((chain) => chain.size >= LEAST_FOLLOWED)
    .flatMap((chain) => {
      const usualPx2 = median([...chain.values()].map(({ areaPx2 }) => areaPx2));
      const followed: CurvePoint[][] = [[]];
      for (const { drawing, frame, length } of level.exposures) {
        const run = chain.get(drawing);
        if (!run) {
          followed.push([]);
          continue;
        }
        const out = called.has(drawing) && Math.abs(run.off ?? 0) > band;
        const off = run.areaPx2 / usualPx2 - 1;
        const says = percent(out ? (run.off ?? 0) : off);
        followed.at(-1)!.push({ drawing, frame, length, off, out, says });
      }
      return followed.filter((points) => points.length > 0);
    });
  const points = lines.flat();
  const most = Math.max(0, ...points.map(({ off }) => Math.abs(off)));
  const sumPx2 = (parts: readonly PartRun[]) => parts.reduce((sum, { areaPx2 }) => sum + areaPx2, 0);
  const known = (parts: readonly PartRun[]) => parts.filter(({ off }) => off !== undefined);
  const says = [...ofDrawing].map(([label, parts]) => {
    const popped = points.find(({ drawing, out }) => out && drawing === label);
    return [label, popped?.says ?? `${known(parts).length} of ${parts.length}`] as const;
  });
  const unsure = ({ drawing }: { readonly drawing: string }) => {
    const parts = ofDrawing.get(drawing) ?? [];
    return 2 * sumPx2(known(parts)) < sumPx2(parts);
  };
  return {
    name: 'parts',
    band,
    bands: Math.max(usualBands, band > 0 ? most / band : 0),
    points,
    lines,
    says: new Map(says.filter(([label]) => (ofDrawing.get(label)?.length ?? 0) > 0)),
    unsureAt: level.exposures.filter(unsure).map(({ frame }) => frame),
  };
}

/** What of a drawing's parts is not known, each reason once, with where. */
export function partsUnsure(
  runs: readonly PartRun[],
  sizePx: readonly [number, number],
): ReadonlyMap<string, string> {
  const byReason = new Map<string, Set<string>>();
  for (const { refused, bbox } of withoutDetails(runs))
    if (refused) byReason.set(refused, (byReason.get(refused) ?? new Set()).add(placeInWords(bbox, sizePx)));
  return new Map([...byReason].map(([reason, places]) => [reason, [...places].join(', ')]));
}
