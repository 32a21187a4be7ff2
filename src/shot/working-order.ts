/**
 * The order in which a shot is cleaned up: keys by frame; then breakdowns; then what runs on after a pose, which follows
 * poses that must stand first; then in-betweens, each after the two drawings it lies between (common practice, no source).
 */
import { type DrawingRef, drawingKey } from './drawing-ref.ts';
import { firstFrames } from './exposures.ts';
import { compareLabels } from './labels.ts';
import type { Drawing, Level, Role } from './model.ts';

interface Waiting extends DrawingRef {
  readonly rank: number;
  readonly frame: number;
  readonly levelIndex: number;
}

const ranks: Record<Role, number> = { key: 0, breakdown: 1, inbetween: 3 };
const runsOnRank = 2;

/**
 * Every drawing of every level once. No drawing comes before one that it hangs on by its chart, whatever
 * the roles say; among those that may come next, keys go before breakdowns before what runs on (whatever its role)
 * before in-betweens, then by
 * first frame, level, label. A drawing without role counts as an in-between. A circle of charts (damaged
 * data) is broken at its first drawing rather than lost.
 */
export function workingOrder(levels: readonly Level[]): DrawingRef[] {
  const waiting = levels
    .flatMap((level, levelIndex) => {
      const first = firstFrames(level);
      return level.drawings.map((drawing) => ({
        level: level.name,
        drawing: drawing.label,
        rank: rankOf(drawing),
        frame: first.get(drawing.label) ?? Infinity,
        levelIndex,
      }));
    })
    .sort(byRank);
  const hangsOn = new Map(
    levels.flatMap((level) => {
      const known = new Set(level.drawings.map((drawing) => drawing.label));
      return level.drawings.map(({ label, chart }) => [
        drawingKey({ level: level.name, drawing: label }),
        chart ? [chart.from, chart.to].filter((end) => known.has(end) && end !== label) : [],
      ]);
    }),
  );
  return release(waiting, hangsOn);
}

/** Takes the first that waits for nothing, until none is left. */
function release(waiting: Waiting[], hangsOn: ReadonlyMap<string, readonly string[]>): DrawingRef[] {
  const done = new Set<string>();
  const order: DrawingRef[] = [];
  while (waiting.length > 0) {
    const ready = waiting.findIndex((ref) =>
      (hangsOn.get(drawingKey(ref)) ?? []).every((end) =>
        done.has(drawingKey({ level: ref.level, drawing: end })),
      ),
    );
    const [next] = waiting.splice(Math.max(0, ready), 1);
    if (!next) break;
    done.add(drawingKey(next));
    order.push({ level: next.level, drawing: next.drawing });
  }
  return order;
}

function rankOf(drawing: Drawing): number {
  return drawing.runsOn ? runsOnRank : ranks[drawing.role ?? 'inbetween'];
}

function byRank(a: Waiting, b: Waiting): number {
  return (
    a.rank - b.rank ||
    (a.frame === b.frame ? 0 : a.frame - b.frame) ||
    a.levelIndex - b.levelIndex ||
    compareLabels(a.drawing, b.drawing)
  );
}
