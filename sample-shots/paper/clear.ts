/** Lines that end in the open keep clear of others: a line meets another or stays away from it, never nearly. */
import { dist, type Pt, STEP_PX } from './geometry.ts';
import type { Run } from './scene.ts';

/** An end nearer than this to a line ahead of it looks like a line that was meant to close, px. */
const CLEAR_PX = 28;
/** Ahead: within this of the way the line was going, as a cosine (about 74 degrees). */
const AHEAD = 0.28;
/** What is left of a shortened line is at least this long, px, or it goes. */
const LEAST_PX = 22;

/** Middles of two lines no farther apart than this, px, are one inked line. */
const MEETS_PX = 3;

type Near = (p: Pt) => readonly { readonly p: Pt; readonly run: Run; readonly i: number }[];

function nearIn(runs: readonly Run[]): Near {
  const cells = new Map<number, { p: Pt; run: Run; i: number }[]>();
  const cell = (x: number, y: number): number => Math.floor(x / CLEAR_PX) * 8192 + Math.floor(y / CLEAR_PX);
  for (const run of runs)
    run.path.forEach((p, i) => {
      const key = cell(p[0], p[1]);
      const list = cells.get(key);
      if (list) list.push({ p, run, i });
      else cells.set(key, [{ p, run, i }]);
    });
  return ([x, y]) =>
    [-1, 0, 1].flatMap((dx) =>
      [-1, 0, 1].flatMap((dy) => cells.get(cell(x + dx * CLEAR_PX, y + dy * CLEAR_PX)) ?? []),
    );
}

/** Shortens, or drops, lines that would end in the open too near to another. Outlines lose only their creases. */
export function keepClear(runs: readonly Run[]): Run[] {
  const near = nearIn(runs);
  return runs.flatMap((run) => {
    if (run.closed || run.stays || !run.taper.includes(true)) return [run];
    let [from, to] = [0, run.path.length - 1];
    const blocked = (end: number, dir: 1 | -1): boolean => {
      const p = run.path[end]!;
      const back = run.path[end - dir * 4] ?? run.path[end - dir] ?? p;
      const d = dist(back, p) || 1;
      const ahead: Pt = [(p[0] - back[0]) / d, (p[1] - back[1]) / d];
      return near(p).some((other) => {
        const reach = dist(other.p, p);
        if (reach >= CLEAR_PX) return false;
        if (other.run === run && Math.abs(other.i - end) * STEP_PX < CLEAR_PX * 1.6) return false;
        const along = (other.p[0] - p[0]) * ahead[0] + (other.p[1] - p[1]) * ahead[1];
        return along > reach * AHEAD;
      });
    };
    const [spareStart, spareEnd] = run.spare;
    const [first, last] = [from + spareStart, to - spareEnd];
    if (run.taper[0]) while (from < Math.min(first, to) && blocked(from, -1)) from++;
    if (run.taper[1]) while (to > Math.max(last, from) && blocked(to, 1)) to--;
    const isFold = spareStart === run.path.length || spareEnd === run.path.length;
    if (isFold && (to - from) * STEP_PX < LEAST_PX) return [];
    const meets = (end: number): boolean =>
      near(run.path[end]!).some((other) => other.run !== run && dist(other.p, run.path[end]!) < MEETS_PX);
    return [
      {
        ...run,
        path: run.path.slice(from, to + 1),
        taper: [
          run.taper[0] && !(from === first && meets(from)),
          run.taper[1] && !(to === last && meets(to)),
        ],
      },
    ];
  });
}
