/** What hangs on what: a drawing with a chart hangs on the two drawings that its chart lies between. */
import type { Chart, Drawing, Level } from './model.ts';

type Drawings = Pick<Level, 'drawings'>;

/** The drawings that hang directly on each drawing. */
function children(level: Drawings): Map<string, string[]> {
  const map = new Map<string, string[]>();
  for (const { label, chart } of level.drawings) {
    if (!chart) continue;
    for (const parent of new Set([chart.from, chart.to]))
      map.set(parent, [...(map.get(parent) ?? []), label]);
  }
  return map;
}

/**
 * Knock-on: every drawing that hangs on `label`, directly or through others, in the level's order.
 * `label` itself is not among them, even if damaged data holds a circle.
 */
export function knockOn(level: Drawings, label: string): string[] {
  const hanging = reach(label, children(level));
  return level.drawings
    .map((drawing) => drawing.label)
    .filter((other) => hanging.has(other) && other !== label);
}

function reach(from: string, next: ReadonlyMap<string, readonly string[]>): Set<string> {
  const seen = new Set<string>();
  const open = [from];
  for (let label = open.pop(); label !== undefined; label = open.pop())
    for (const child of next.get(label) ?? [])
      if (!seen.has(child)) {
        seen.add(child);
        open.push(child);
      }
  return seen;
}

/**
 * Why `chart` cannot be the chart of `label`, as a sentence for the artist; undefined when it can.
 * Refused: an unknown drawing, a drawing between itself and another, both ends the same, a fraction not
 * between 0 and 1, a circle (`label` would hang on a drawing that hangs on it).
 */
export function chartFault(level: Drawings, label: string, chart: Chart): string | undefined {
  const known = new Set(level.drawings.map((drawing) => drawing.label));
  for (const end of [chart.from, chart.to])
    if (!known.has(end))
      return `Drawing ${label} cannot lie beside ${end}: there is no drawing ${end} on this level.`;
  if (chart.from === label || chart.to === label)
    return `Drawing ${label} cannot lie between itself and another drawing.`;
  if (chart.from === chart.to)
    return `The chart of ${label} names ${chart.from} twice: it needs two different drawings.`;
  if (!(chart.fraction > 0 && chart.fraction < 1))
    return `The chart of ${label} says ${chart.fraction}: it must lie between 0 and 1.`;
  const hanging = new Set(knockOn(level, label));
  const end = [chart.from, chart.to].find((other) => hanging.has(other));
  return end === undefined
    ? undefined
    : `Drawing ${label} cannot lie beside ${end}, because ${end} already hangs on ${label}.`;
}

/**
 * Drawings with every faulty chart taken off (see `chartFault`), and one sentence for each. Charts are
 * looked at in the level's order, so of the charts that close a circle the last one goes.
 */
export function soundCharts(drawings: readonly Drawing[]): { drawings: Drawing[]; faults: string[] } {
  const faults: string[] = [];
  const sound = drawings.map((drawing): Drawing => ({ ...drawing, chart: undefined }));
  drawings.forEach(({ label, chart }, index) => {
    const drawing = sound[index];
    if (!chart || !drawing) return;
    const fault = chartFault({ drawings: sound }, label, chart);
    if (fault) faults.push(fault);
    else sound[index] = { ...drawing, chart };
  });
  return { drawings: sound, faults };
}
