/** Looking things up on the exposure sheet, as a flipping hand asks for them. Pure. */
import { exposureAt, exposuresOf } from '../shot/exposures.ts';
import type { Exposure, Level } from '../shot/model.ts';

/**
 * What a set shows at a frame: the newest exposure, starting there or before, of a drawing in the set; so
 * that keys alone stand until the next key. Before the first of them, the first.
 */
export function exposureInSet(
  level: Level,
  labels: ReadonlySet<string>,
  frame: number,
): Exposure | undefined {
  let found: Exposure | undefined;
  for (const exposure of level.exposures) {
    if (!labels.has(exposure.drawing)) continue;
    if (found && exposure.frame > frame) break;
    found = exposure;
  }
  return found;
}

/** The frame at which a drawing is met when coming from `from`: forwards, else backwards; 0 if unexposed. */
export function nearestFrameOf(level: Level, label: string, from: number, forwards: boolean): number {
  if (exposureAt(level, from)?.drawing === label) return from;
  const own = exposuresOf(level, label);
  const ahead = own.find((exposure) => exposure.frame > from);
  const behind = own.findLast((exposure) => exposure.frame < from);
  const met = forwards ? (ahead ?? behind) : (behind ?? ahead);
  return met?.frame ?? 0;
}
