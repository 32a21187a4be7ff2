/** Closed parts followed from drawing to drawing of a level: each other's likeliest by area, form and place. */
import type { DrawingMeasures } from '../line/measure-drawing.ts';
import { formApart } from '../line/part-form.ts';
import type { Part } from '../line/parts.ts';
import type { Box } from '../line/picture.ts';
import { isRefused } from '../line/refused.ts';
import type { Measured } from './measured.ts';

/** A match may cost this much at most, and its rival must cost so many times as much. */
const MOST_COST = 2.5;
const RIVAL = 1.3;

/** How a part lies against the run of its areas. */
export interface Verdict {
  /** Area against what the drawings around it lead to, share; 0 where it does not leave their run. */
  readonly off?: number;
  /** Why `off` is not known, in a clause. */
  readonly refused?: string;
  /** Whose a pop is: in the rough as well, in the clean-up only; absent where the rough cannot tell. */
  readonly whose?: 'rough' | 'clean-up';
}

/** A part of one drawing, linked to itself in the drawings beside it. */
export interface Linked {
  readonly part: Part;
  chain: number;
  before?: Linked;
  after?: Linked;
  /** Logarithms of its area. Where it left its run, what the run leads to: so it bends no neighbour's. */
  clean: number;
  rough: number;
  verdict?: Verdict;
}

/** The parts of each drawing, in the order given; those followed are linked. */
export function followParts(level: readonly Measured[]): Linked[][] {
  const drawings = level.map(({ measures }) => {
    const parts = !measures || isRefused(measures.volume) ? [] : measures.volume.parts;
    return parts.map(
      (part): Linked => ({
        part,
        chain: -1,
        clean: Math.log(part.areaPx2),
        rough: part.roughPx2 === undefined ? Number.NaN : Math.log(part.roughPx2),
      }),
    );
  });
  for (let k = 1; k < level.length; k++) {
    const [from, to] = [level[k - 1]!.measures, level[k]!.measures];
    if (!from || !to) continue;
    for (const [p, q] of pairsOf(from, to)) {
      const [one, next] = [drawings[k - 1]![p]!, drawings[k]![q]!];
      one.after = next;
      next.before = one;
    }
  }
  return drawings;
}

type Pairs = readonly (readonly [from: number, to: number])[];

/** Pairs found already, by the later drawing: the findings of a shot are gone through whenever one drawing more is measured. */
const found = new WeakMap<DrawingMeasures, { readonly from: DrawingMeasures; readonly pairs: Pairs }>();

function pairsOf(from: DrawingMeasures, to: DrawingMeasures): Pairs {
  const kept = found.get(to);
  if (kept?.from === from) return kept.pairs;
  const pairs = isRefused(from.volume) || isRefused(to.volume) ? [] : likeliest(from, to);
  found.set(to, { from, pairs });
  return pairs;
}

/** Parts that are each other's likeliest by area, form and place against the drawing's middle. */
function likeliest(from: DrawingMeasures, to: DrawingMeasures): Pairs {
  const [before, after] = [from, to].map(({ volume }) => (isRefused(volume) ? [] : volume.parts)) as [
    readonly Part[],
    readonly Part[],
  ];
  const [[fx, fy], [tx, ty]] = [middleOf(from.inkBox), middleOf(to.inkBox)];
  const cost = (p: Part, q: Part) => {
    const other =
      Math.abs(Math.log(p.areaPx2 / q.areaPx2)) / 0.2 +
      Math.hypot(p.centroid[0] - fx - q.centroid[0] + tx, p.centroid[1] - fy - q.centroid[1] + ty) /
        (1.5 * Math.sqrt(p.areaPx2));
    // Most pairs are none: their forms need not be compared.
    return other > RIVAL * MOST_COST ? Infinity : other + formApart(p.form, q.form) / 0.1;
  };
  const best = (costs: readonly number[]) => {
    const at = costs.indexOf(Math.min(...costs));
    const rival = Math.min(...costs.filter((_, k) => k !== at));
    return at >= 0 && costs[at]! <= MOST_COST && rival >= RIVAL * costs[at]! ? at : -1;
  };
  const costs = before.map((p) => after.map((q) => cost(p, q)));
  return costs.flatMap((row, k) => {
    const at = best(row);
    return at >= 0 && best(costs.map((other) => other[at]!)) === k ? [[k, at] as const] : [];
  });
}

const middleOf = ([x, y, width, height]: Box) => [x + width / 2, y + height / 2] as const;
