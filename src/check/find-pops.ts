import { boxGap, boxUnion } from '../line/box.ts';
import { groupBy } from '../shot/group-by.ts';
import { type Finding, findingKey, lineDigest, placeInWords } from './finding.ts';
import type { Measured } from './measured.ts';
import type { Tolerances } from './tolerances.ts';
import type { PartRun } from './volume-run.ts';
import { percent } from './words.ts';

/** Parts under this share of the drawing's largest are details, whose share is large at once. */
const LEAST_PART = 0.04;

const WHOSE = { rough: ', in the rough as well', 'clean-up': ', in the clean-up only' } as const;

/**
 * Adds to the findings of a drawing (`told`) what of its volume pops against the drawings around it, worded by whose it is.
 * A volume that is told already, as off its rough or off its extremes, is one fault: its own words are run on.
 */
export function withPops(
  told: readonly Finding[],
  level: string,
  { drawing, measures }: Measured,
  runs: readonly PartRun[],
  to: Tolerances,
): Finding[] {
  if (!measures) return [...told];
  const groups = groupBy(poppedIn(runs, to), ({ off, whose }) => `${Math.sign(off)} ${whose}`);
  const out = [...told];
  for (const same of groups.values()) {
    const { whose, off } = same[0]!;
    const words = whose ? WHOSE[whose] : '';
    const bbox = same.map(({ part }) => part.bbox).reduce(boxUnion);
    const at = out.findIndex(
      (other) =>
        other.check === 'volume' &&
        Math.sign(other.amount) === Math.sign(off) &&
        boxGap(other.bbox, bbox) === 0,
    );
    if (at >= 0 && whose !== 'rough') {
      const before = out[at]!;
      const message = `${before.message}; it pops against the drawings around it${words}`;
      out[at] = { ...before, message };
      continue;
    }
    const areaPx2 = same.reduce((sum, { part }) => sum + part.areaPx2, 0);
    const usualPx2 = same.reduce((sum, one) => sum + one.part.areaPx2 / (1 + one.off), 0);
    const share = areaPx2 / usualPx2 - 1;
    const way = off > 0 ? 'larger' : 'smaller';
    out.push({
      key: findingKey('volume', level, drawing.label, bbox, measures.sizePx, `pop${Math.sign(off)}`),
      check: 'volume',
      level,
      drawing: drawing.label,
      bbox,
      amount: share,
      message: `volume pops: ${percent(share)} ${way} than in the drawings around it, ${placeInWords(bbox, measures.sizePx)}${words}`,
      lineDigest: lineDigest(measures.digests, bbox),
    });
  }
  return out;
}

/** The runs of a drawing's parts without those of its details. */
export function withoutDetails(runs: readonly PartRun[]): PartRun[] {
  const largestPx2 = Math.max(0, ...runs.map(({ areaPx2 }) => areaPx2));
  return runs.filter(({ areaPx2 }) => areaPx2 >= LEAST_PART * largestPx2);
}

function poppedIn(runs: readonly PartRun[], to: Tolerances) {
  return withoutDetails(runs).flatMap(({ part, off = 0, whose }) => {
    if (!part || Math.abs(off) <= to.volume) return [];
    const thick = Math.abs(off) * part.areaPx2 > to.volumePx * part.perimeterPx;
    return thick ? [{ part, off, whose }] : [];
  });
}
