/** What hangs on what: a drawing with a chart hangs on the two drawings that its chart lies between. */
import type { Chart, Drawing, Level } from './model.ts';

type Drawings = Pick<Level, 'drawings'>;

/** The drawings that hang directly on each drawing. */
function children(level: Drawings): Map<string, string[]> {
  const map = new Map<string, string[]>();
  for (const { label, chart } of level.drawings) {
    if (!chart) continue;
    for (const parent of new Set([chart.from, chart.to])) {
      const list = map.get(parent);
      if (list) list.push(label);
      else map.set(parent, [label]);
    }
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
  return faultByItself(known, label, chart) ?? circleFault(level, label, chart);
}

function faultByItself(known: ReadonlySet<string>, label: string, chart: Chart): string | undefined {
  for (const end of [chart.from, chart.to])
    if (!known.has(end))
      return `Drawing ${label} cannot lie beside ${end}: there is no drawing ${end} on this level.`;
  if (chart.from === label || chart.to === label)
    return `Drawing ${label} cannot lie between itself and another drawing.`;
  if (chart.from === chart.to)
    return `The chart of ${label} names ${chart.from} twice: it needs two different drawings.`;
  if (!(chart.fraction > 0 && chart.fraction < 1))
    return `The chart of ${label} says ${chart.fraction}: it must lie between 0 and 1.`;
  return undefined;
}

function circleFault(level: Drawings, label: string, chart: Chart): string | undefined {
  const hanging = new Set(knockOn(level, label));
  const end = [chart.from, chart.to].find((other) => hanging.has(other));
  return end === undefined
    ? undefined
    : `Drawing ${label} cannot lie beside ${end}, because ${end} already hangs on ${label}.`;
}

/** Looking for the chart that closes a circle goes through all of them for each; no artist draws a thousand. */
const mostInCircles = 1000;

/**
 * Drawings with every faulty chart taken off (see `chartFault`), and one sentence for each. Charts are
 * looked at in the level's order, so of the charts that close a circle the last one goes; where more than a
 * thousand drawings lie in circles, all their charts go. Linear in the number of drawings.
 */
export function soundCharts(drawings: readonly Drawing[]): { drawings: Drawing[]; faults: string[] } {
  const known = new Set(drawings.map(({ label }) => label));
  const byItself = drawings.map(({ label, chart }) => chart && faultByItself(known, label, chart));
  const charted = drawings.filter(({ chart }, n) => chart && byItself[n] === undefined);
  const circular = inCircles(charted);
  const among = new Map([...circular].map((label): [string, Drawing] => [label, { label, takes: [] }]));
  const faultOf = ({ label, chart }: Drawing): string | undefined => {
    if (!chart || !circular.has(label)) return undefined;
    if (circular.size > mostInCircles)
      return `The chart of ${label} was left out: it is one of ${circular.size} in a circle.`;
    return circleFault({ drawings: [...among.values()] }, label, chart);
  };
  const faults: string[] = [];
  const sound = drawings.map((drawing, n): Drawing => {
    const fault = byItself[n] ?? faultOf(drawing);
    if (fault === undefined && circular.has(drawing.label)) among.set(drawing.label, drawing);
    if (fault !== undefined) faults.push(fault);
    return fault === undefined ? drawing : { ...drawing, chart: undefined };
  });
  return { drawings: sound, faults };
}

/** Drawings that hang on themselves through others, and those between two such circles. */
function inCircles(charted: readonly Drawing[]): Set<string> {
  const up = new Map<string, string[]>();
  for (const { label, chart } of charted)
    if (chart) up.set(label, [...(up.get(label) ?? []), chart.from, chart.to]);
  const below = unpeeled(up);
  const down = children({ drawings: charted.filter(({ label }) => below.has(label)) });
  return unpeeled(new Map([...below].map((label) => [label, down.get(label) ?? []])));
}

/** What is left when one after the other everything goes that leads to nothing left (Kahn 1962). */
function unpeeled(next: ReadonlyMap<string, readonly string[]>): Set<string> {
  const left = new Set(next.keys());
  const before = new Map<string, string[]>();
  const count = new Map<string, number>();
  const open: string[] = [];
  for (const [label, ends] of next) {
    const inside = ends.filter((end) => left.has(end));
    count.set(label, inside.length);
    if (inside.length === 0) open.push(label);
    for (const end of inside) {
      const list = before.get(end);
      if (list) list.push(label);
      else before.set(end, [label]);
    }
  }
  for (let label = open.pop(); label !== undefined; label = open.pop()) {
    left.delete(label);
    for (const other of before.get(label) ?? []) {
      const waiting = (count.get(other) ?? 0) - 1;
      count.set(other, waiting);
      if (waiting === 0) open.push(other);
    }
  }
  return left;
}
