/** Faults planted on purpose in the sample shots, and the list of them that is written beside the shots. */
import { dist, type Pt } from './paper/geometry.ts';
import { type Inked, inkLine } from './paper/ink.ts';
import type { Run } from './paper/scene.ts';

export type Check = 'weight' | 'leaks' | 'volume' | 'spacing' | 'drift' | 'specks';
export type Box = readonly [x: number, y: number, width: number, height: number];

/** A fault in `planted-faults.json`. */
export interface PlantedFault {
  readonly shot: string;
  readonly level: string;
  readonly drawing: string;
  readonly check: Check;
  /** The sort of drift. */
  readonly kind?: 'missed';
  /** Image px. */
  readonly bbox: Box;
  readonly amount: number;
  /**
   * `share`: above what it should be; `px`: between the inks of a gap, or of line forgotten; `fraction`:
   * where it was drawn between its two drawings; `count`: of specks.
   */
  readonly unit: 'share' | 'px' | 'fraction' | 'count';
  /** In words. */
  readonly what: string;
  /** Other checks that see the same fault, rightly. */
  readonly alsoSeenBy?: readonly string[];
}

export function boxOf(points: readonly Pt[], marginPx = 8): Box {
  const xs = points.map(([x]) => x);
  const ys = points.map(([, y]) => y);
  const [x, y] = [Math.floor(Math.min(...xs) - marginPx), Math.floor(Math.min(...ys) - marginPx)];
  return [x, y, Math.ceil(Math.max(...xs) + marginPx) - x, Math.ceil(Math.max(...ys) + marginPx) - y];
}

export function lengthPx(path: readonly Pt[]): number {
  let sum = 0;
  for (let i = 1; i < path.length; i++) sum += dist(path[i - 1]!, path[i]!);
  return sum;
}

/**
 * Opens the longest seen run of `id` at `along` (0 to 1) of its length, `gapPx` from ink to ink.
 * The line's ends are round, so its middle is opened by the line's weight more.
 */
export function openGap(
  runs: readonly Run[],
  id: string,
  along: number,
  gapPx: number,
  weightPx: number,
): { runs: Run[]; box: Box } {
  const run = longest(runs, id);
  const path = run.closed ? [...run.path, run.path[0]!] : run.path;
  const middle = path[Math.round((path.length - 1) * along)]!;
  const reach = (gapPx + weightPx) / 2;
  const inGap = path.map((p) => dist(p, middle) < reach);
  const [from, to] = [inGap.indexOf(true), inGap.lastIndexOf(true)];
  // The last sample on each side is moved to the gap's very edge.
  const edge = (inside: Pt, outside: Pt): Pt => {
    let [a, b] = [inside, outside];
    while (dist(a, b) > 0.01) {
      const half: Pt = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
      if (dist(half, middle) < reach) a = half;
      else b = half;
    }
    return b;
  };
  const piece = (points: readonly Pt[], taper: readonly [boolean, boolean]): Run => ({
    id,
    path: points,
    closed: false,
    taper,
    spare: [0, 0],
  });
  const before = [...path.slice(0, from), edge(path[from]!, path[from - 1]!)];
  const after = [edge(path[to]!, path[to + 1]!), ...path.slice(to + 1)];
  return {
    runs: [
      ...runs.filter((r) => r !== run),
      piece(before, [run.taper[0], false]),
      piece(after, [false, run.taper[1]]),
    ],
    box: boxOf([before.at(-1)!, after[0]!]),
  };
}

export function forget(runs: readonly Run[], id: string): { runs: Run[]; box: Box; lengthPx: number } {
  const gone = runs.filter((r) => r.id === id);
  if (gone.length === 0) throw new Error(`No line ${id} is seen in this drawing.`);
  return {
    runs: runs.filter((r) => r.id !== id),
    box: boxOf(gone.flatMap((r) => r.path)),
    lengthPx: Math.round(gone.reduce((sum, r) => sum + lengthPx(r.path), 0)),
  };
}

export function addSpecks(
  paper: Inked,
  specks: readonly (readonly [x: number, y: number, radiusPx: number])[],
): Box {
  for (const [x, y, radius] of specks)
    inkLine(
      paper,
      [
        [x, y],
        [x + radius * 0.6, y + 0.4],
      ],
      () => radius,
    );
  return boxOf(specks.map(([x, y]) => [x, y]));
}

export function runsOf(runs: readonly Run[], id: string): readonly Run[] {
  return runs.filter((r) => r.id === id);
}

function longest(runs: readonly Run[], id: string): Run {
  const found = runsOf(runs, id).toSorted((a, b) => b.path.length - a.path.length)[0];
  if (!found) throw new Error(`No line ${id} is seen in this drawing.`);
  return found;
}
