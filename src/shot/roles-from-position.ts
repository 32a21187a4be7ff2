/** Roles and charts guessed from where drawings stand. Made only when someone asks for it. */
import { labelsInScreenOrder } from './exposures.ts';
import type { Chart, Drawing, Level, Role } from './model.ts';

/** A drawing held this many times as long as the middle hold of its level is taken for a key. */
const keyHold = 3;

interface Guess {
  readonly role: Role;
  readonly chart?: Chart;
}

/**
 * The level's drawings with roles (and charts) filled in where there are none; what someone has said stays.
 * Where charts are known they decide: what hangs on nothing and is hung on is a key, what hangs and is hung
 * on a breakdown, what only hangs an in-between. Else, in the order of the screen, the first, the last and
 * the long holds are keys, the drawing midway between two keys is a breakdown, and the rest are in-betweens
 * charted evenly between the drawings around them. A guess (common practice, no source).
 */
export function rolesFromPosition(level: Level): Drawing[] {
  const guesses = level.drawings.some((drawing) => drawing.chart) ? fromCharts(level) : fromScreen(level);
  return level.drawings.map((drawing) => {
    const guess = guesses.get(drawing.label);
    if (drawing.role || !guess) return drawing;
    const chart = drawing.chart ?? guess.chart;
    return { ...drawing, role: guess.role, ...(chart && { chart }) };
  });
}

function fromCharts(level: Level): Map<string, Guess> {
  const hungOn = new Set(level.drawings.flatMap(({ chart }) => (chart ? [chart.from, chart.to] : [])));
  const role = ({ label, chart }: Drawing): Role | undefined => {
    if (chart) return hungOn.has(label) ? 'breakdown' : 'inbetween';
    return hungOn.has(label) ? 'key' : undefined;
  };
  return new Map(
    level.drawings.flatMap((drawing) => {
      const guess = role(drawing);
      return guess ? [[drawing.label, { role: guess }] as const] : [];
    }),
  );
}

function fromScreen(level: Level): Map<string, Guess> {
  const labels = labelsInScreenOrder(level);
  const longest = longestHolds(level);
  const middle = [...longest.values()].sort((a, b) => a - b)[longest.size >> 1] ?? 0;
  const said = new Map(level.drawings.map((drawing) => [drawing.label, drawing.role]));
  const isKey = (label: string, index: number) =>
    said.get(label) === 'key' ||
    (!said.get(label) &&
      (index === 0 || index === labels.length - 1 || (longest.get(label) ?? 0) >= keyHold * middle));
  const keys = labels.flatMap((label, index) => (isKey(label, index) ? [index] : []));
  const guesses = new Map<string, Guess>(keys.map((index) => [labels[index] ?? '', { role: 'key' }]));
  keys.forEach((key, i) => fillBetween(labels, key, keys[i + 1] ?? key, guesses));
  return guesses;
}

function longestHolds(level: Level): Map<string, number> {
  const longest = new Map<string, number>();
  for (const { drawing, length } of level.exposures)
    longest.set(drawing, Math.max(length, longest.get(drawing) ?? 0));
  return longest;
}

/** Breakdown midway, in-betweens evenly to either side of it. */
function fillBetween(
  labels: readonly string[],
  key: number,
  next: number,
  guesses: Map<string, Guess>,
): void {
  const breakdown = next - key > 2 ? (key + next) >> 1 : next;
  for (let i = key + 1; i < next; i++) {
    if (i === breakdown)
      guesses.set(labels[i] ?? '', { role: 'breakdown', chart: between(labels, key, i, next) });
    else {
      const [from, to] = i < breakdown ? [key, breakdown] : [breakdown, next];
      guesses.set(labels[i] ?? '', { role: 'inbetween', chart: between(labels, from, i, to) });
    }
  }
}

function between(labels: readonly string[], from: number, at: number, to: number): Chart {
  return { from: labels[from] ?? '', to: labels[to] ?? '', fraction: (at - from) / (to - from) };
}
