/** What a hand means by a stroke on the paper: a straight one is a box from corner to corner, any other goes round. Pure. */
import { mostOutlinePoints } from '../../shot/chart-schema.ts';
import type { ChartPlace } from '../../shot/model.ts';

type At = readonly [x: number, y: number];

/** The way from its first to its last point is this share of a stroke's length, or it goes round. */
const straight = 0.75;
/** Enough for any ring drawn by hand. */
const points = Math.min(64, mostOutlinePoints);

/** Image px, whole ones. Undefined for less than `leastPx` in width or height: a tap, a line. */
export function placeOfPath(
  path: readonly At[],
  sizePx: readonly [number, number],
  leastPx: number,
): ChartPlace | undefined {
  const [first, last] = [path[0], path.at(-1)];
  if (!first || !last) return undefined;
  const xs = path.map(([x]) => x);
  const ys = path.map(([, y]) => y);
  const least = (values: readonly number[]) => values.reduce((a, b) => Math.min(a, b));
  const most = (values: readonly number[]) => values.reduce((a, b) => Math.max(a, b));
  const [left, top] = [Math.floor(least(xs)), Math.floor(least(ys))];
  const [width, height] = [Math.ceil(most(xs)) - left, Math.ceil(most(ys)) - top];
  if (width < leastPx || height < leastPx) return undefined;
  const lengthPx = path.reduce((sum, [x, y], n) => {
    const [fromX, fromY] = path[n - 1] ?? [x, y];
    return sum + Math.hypot(x - fromX, y - fromY);
  }, 0);
  if (path.length < 3 || Math.hypot(last[0] - first[0], last[1] - first[1]) > straight * lengthPx)
    return { box: [left, top, width, height], sizePx };
  const every = Math.max(1, path.length / points);
  const outline = Array.from({ length: Math.min(points, path.length) }, (_, n): At => {
    const [x, y] = path[Math.floor(n * every)] ?? last;
    return [Math.round(x), Math.round(y)];
  });
  return { outline, sizePx };
}
