/**
 * Volume over the shot: each closed part is followed from drawing to drawing, and one whose area leaves the run of its
 * neighbours and comes back is a pop. Squash and stretch keep area, a steady growth has no drawing that leaves its run.
 */
import { meantOpen } from '../line/in-rough.ts';
import { formApart, growthBetween, jagsOf } from '../line/part-form.ts';
import type { Part } from '../line/parts.ts';
import type { Box } from '../line/picture.ts';
import { isRefused } from '../line/refused.ts';
import { median } from '../line/statistics.ts';
import { followParts, type Linked, type Verdict } from './follow-parts.ts';
import type { Measured } from './measured.ts';

/** One part of one drawing against the run of its areas. */
export interface PartRun extends Verdict {
  readonly bbox: Box;
  readonly areaPx2: number;
  /** Absent where a part of the drawing before is not found again in this one: box and area are those it had there. */
  readonly part?: Part;
  /** The same number all along a part that is followed. */
  readonly chain: number;
}

/**
 * Forms of the two neighbours farther apart than the first: the form is turning. A form that differs from them by more than
 * they do and the second: it turned, or something lies before it. Each grows with how jagged the form is, as a jagged one
 * is told less surely: over 116 shots of published art half of these passed for the same form drawn again.
 */
const TURNING = { least: 0.05, byJags: 0.25 } as const;
const OTHER_FORM = { least: 0.02, byJags: 0.15 } as const;
/** A form that turns out of the paper keeps one of its lengths: to so much of what the other changes by. */
const KEPT = 0.35;
/** The same of its whole: less is the hand's own. */
const KEPT_LEAST = 0.008;
/** A pop stands out of how restless its run is elsewhere by so many times. */
const STANDS_OUT = 3;
/** So many drawings to each side say how restless a run is. */
const REACH = 8;
/** It is so much of what the part grows by across it at least: in a quick change of form less says nothing. */
const OF_GROWTH = 0.25;
/**
 * Next to the end of a run a neighbour's pop looks like one's own, as large and the other way: what has two drawings to
 * each side is judged before it.
 */
const ONE_SIDE = 0.75;
/** Other drawings that must show a part. */
const LEAST_OTHERS = 4;
/** Leaves its run by so much of what it is off by at least. */
const LEAVES = 0.2;
/** A pop is one's own as well when one's own run is left by so much of it. */
const OWN_TOO = 0.5;

/** Offs smaller than this are the hand's own, and bend no neighbour's run. */
const LEAST_OFF = 0.02;

/** Runs of every part of a level, drawing by drawing in the order given. */
export function volumeRuns(level: readonly Measured[]): PartRun[][] {
  let chains = 0;
  const drawings = followParts(level);
  for (const parts of drawings) {
    for (const one of parts) {
      one.chain = one.before?.chain ?? chains++;
      if (!one.before) judge(one);
    }
  }
  return drawings.map((parts, k) => [
    ...parts.map((one): PartRun => {
      const { part, chain, verdict } = one;
      return { ...own(part), part, chain, ...(verdict ?? unknown(one, level, k) ?? { off: 0 }) };
    }),
    ...(drawings[k - 1] ?? [])
      .filter(({ after }) => !after)
      .map(({ part, chain }): PartRun => ({ ...own(part), chain, refused: notFound(level, k) })),
  ]);
}

const twoToEachSide = ({ before, after }: Linked): boolean => Boolean(before?.before && after?.after);

const own = ({ bbox, areaPx2 }: Part) => ({ bbox, areaPx2 });

/** Judges a part along the drawings that it is followed through, `first` on: the farthest off before the rest. */
function judge(first: Linked): void {
  const chain: Linked[] = [];
  for (let one: Linked | undefined = first; one; one = one.after) chain.push(one);
  const all = chain.map(leaves);
  for (;;) {
    let [worst, most] = [-1, 0];
    for (const [k, { off }] of all.entries()) {
      const far = Math.abs(off) * (twoToEachSide(chain[k]!) ? 1 : ONE_SIDE);
      if (Math.abs(off) > LEAST_OFF && far > most) [worst, most] = [k, far];
    }
    if (worst < 0) return;
    const one = chain[worst]!;
    const { off, alone } = all[worst]!;
    const whose = alone ? 'clean-up' : whoseIs(one, off);
    const refused = whose === 'clean-up' ? undefined : otherForm(one);
    one.verdict = refused ? { refused } : { off: Math.exp(off) - 1, ...(whose && { whose }) };
    const runOn = [expected(one, clean), expected(one, rough)] as const;
    one.clean = runOn[0];
    if (whose !== 'clean-up') one.rough = runOn[1];
    for (let k = Math.max(0, worst - REACH); k <= Math.min(chain.length - 1, worst + REACH); k++)
      if (!chain[k]!.verdict) all[k] = leaves(chain[k]!);
    all[worst] = { off: 0, alone: false };
  }
}

/**
 * By how much it leaves its run, logarithm of area, 0 where it does not. `alone`: the clean-up without the rough. In a
 * growth that gathers pace a pop may hide; against the rough, which grows alike, it does not.
 */
function leaves(one: Linked): { off: number; alone: boolean } {
  const off = standsOut(one);
  if (off) return { off, alone: false };
  const alone = offRun(one, (of) => of.clean - of.rough) || 0;
  // Else it is the rough that differs, or that is read otherwise in this drawing.
  const ownToo = (one.clean - expected(one, clean)) / alone > OWN_TOO;
  return { off: ownToo ? alone : 0, alone: true };
}

/** Why the run of a part that leaves it nowhere is not known. */
function unknown({ before, after }: Linked, level: readonly Measured[], k: number) {
  if (before?.before && after?.after) return undefined;
  if (k === 0 || k === level.length - 1) return { refused: 'no drawing lies on the other side of it' };
  if (!before || !after) return { refused: notFound(level, before ? k + 1 : k - 1) };
  const ends = [before.before?.before, after.after?.after];
  return ends.some(Boolean) ? undefined : { refused: 'too few drawings show it to know its run' };
}

function notFound(level: readonly Measured[], k: number): string {
  const { drawing, measures } = level[k]!;
  const name = drawing.label;
  if (!measures) return `${name} has no clean-up that is measured`;
  if (isRefused(measures.volume)) return `no outline closes in ${name}`;
  if (!isRefused(measures.leaks) && measures.leaks.some((leak) => !meantOpen(leak)))
    return `not found again in ${name}, where an outline is open`;
  return `not found again in ${name}: open, turned or hidden there`;
}

/** Why a part may differ from its neighbours without a change of volume. */
function otherForm({ part, before, after }: Linked): string | undefined {
  const [p, q] = [before!.part, after!.part];
  const around = formApart(p.form, q.form);
  const jags = jagsOf(part.form);
  if (around > TURNING.least + TURNING.byJags * jags) return 'its form turns, or something hides part of it';
  const apart = Math.max(formApart(part.form, p.form), formApart(part.form, q.form));
  if (apart > 1.5 * around + OTHER_FORM.least + OTHER_FORM.byJags * jags)
    return 'its form is another in this drawing';
  return [p, q].every((beside) => turns(beside, part))
    ? 'only one way of it changes, as when a form turns'
    : undefined;
}

function turns(from: Part, to: Part): boolean {
  const [p, q] = growthBetween(from, to);
  const [more, less] = [Math.max(Math.abs(p), Math.abs(q)), Math.min(Math.abs(p), Math.abs(q))];
  return less < Math.max(KEPT_LEAST, KEPT * more);
}

/** Off its run, logarithm of area; 0 where the run is as restless elsewhere, or quick there. */
function standsOut(one: Linked): number {
  const off = offRun(one, clean) || 0;
  if (Math.abs(off) <= LEAST_OFF) return 0;
  const elsewhere: number[] = [];
  let others = 0;
  for (const way of ['before', 'after'] as const)
    for (let [at, away] = [one[way], 1]; at && away <= REACH; at = at[way], away++) {
      others++;
      if (away > 2) elsewhere.push(Math.abs(at.clean - expected(at, clean)));
    }
  if (others < LEAST_OTHERS) return 0;
  const quick = OF_GROWTH * Math.abs(one.after!.clean - one.before!.clean);
  // A median of none is NaN, which nothing is less than.
  return Math.abs(off) < STANDS_OUT * median(elsewhere) || Math.abs(off) < quick ? 0 : off;
}

const clean = (of: Linked): number => of.clean;
const rough = (of: Linked): number => of.rough;

function whoseIs(one: Linked, off: number): Verdict['whose'] {
  const inRough = one.rough - expected(one, rough);
  if (!Number.isNaN(inRough)) return inRough / off > OWN_TOO ? 'rough' : 'clean-up';
  // Around it the clean-up lies on the rough, here it does not: the rough did not go with it.
  const beside = [one.before!, one.after!].every(({ part }) => part.roughPx2 !== undefined);
  return beside && one.part.roughPx2 === undefined ? 'clean-up' : undefined;
}

/**
 * By how much it is off what its neighbours lead to, if it lies beyond all that they allow: the middle of the two beside
 * it, and each side's pair run on. An uneven growth lies between these, and the height of a hop below.
 */
function offRun(one: Linked, area: (of: Linked) => number): number {
  const { before, after } = one;
  const off = area(one) - expected(one, area);
  if (!before || !after || Number.isNaN(off)) return Number.NaN;
  const leads = [(area(before) + area(after)) / 2];
  if (before.before) leads.push(2 * area(before) - area(before.before));
  if (after.after) leads.push(2 * area(after) - area(after.after));
  const known = leads.filter((value) => !Number.isNaN(value));
  if (known.length < 2) return Number.NaN;
  const beyond = Math.max(area(one) - Math.max(...known), Math.min(...known) - area(one), 0);
  return beyond < LEAVES * Math.abs(off) ? 0 : off;
}

/** What its neighbours lead to: the curve through the two to each side, of one side fewer where it has no more. */
function expected({ before, after }: Linked, area: (of: Linked) => number): number {
  if (!before || !after) return Number.NaN;
  const [p, q] = [area(before), area(after)];
  const far = (of: Linked | undefined) => (of ? area(of) : Number.NaN);
  const [pp, qq] = [far(before.before), far(after.after)];
  // Lagrange's polynomials through places −2, −1, 1 and 2, at 0.
  if (!Number.isNaN(pp + qq)) return (4 * (p + q) - pp - qq) / 6;
  if (!Number.isNaN(pp)) return p + (q - pp) / 3;
  if (!Number.isNaN(qq)) return q + (p - qq) / 3;
  return (p + q) / 2;
}
