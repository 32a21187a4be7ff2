/**
 * Changing exposures. Every function takes the exposures of one level (ascending, not overlapping) and
 * gives new ones; what comes after moves along, as when a sheet is written anew. Pure.
 */
import type { Exposure } from '../shot/model.ts';

/** Everything on ones, twos, …: each exposure `length` frames, gaps kept. */
export function allOn(exposures: readonly Exposure[], length: number): Exposure[] {
  let shift = 0;
  return exposures.map((exposure) => {
    const moved = { ...exposure, frame: exposure.frame + shift, length };
    shift += length - exposure.length;
    return moved;
  });
}

/** Exposes a drawing from `frame`; what stands there or later moves down. A hold that it cuts is shortened. */
export function withInserted(
  exposures: readonly Exposure[],
  drawing: string,
  frame: number,
  length: number,
): Exposure[] {
  const before = exposures.filter((e) => e.frame < frame);
  const cut = before.at(-1);
  const shortened =
    cut && cut.frame + cut.length > frame
      ? [...before.slice(0, -1), { ...cut, length: frame - cut.frame }]
      : before;
  const after = exposures.filter((e) => e.frame >= frame);
  // A gap takes what fits; only the rest is pushed.
  const room = (after[0]?.frame ?? Number.POSITIVE_INFINITY) - frame;
  const push = Math.max(0, length - room);
  return [...shortened, { drawing, frame, length }, ...after.map((e) => ({ ...e, frame: e.frame + push }))];
}

/** Takes one exposure off the sheet; later ones move up. */
export function withRemoved(exposures: readonly Exposure[], at: number): Exposure[] {
  const gone = exposures[at];
  if (!gone) return [...exposures];
  return exposures
    .filter((_, index) => index !== at)
    .map((e) => (e.frame > gone.frame ? { ...e, frame: e.frame - gone.length } : e));
}

/**
 * Starts one exposure at `frame` or as near as can be: what follows moves along, the hold before it grows,
 * or gives way down to one frame. The first may start at any frame from 1.
 */
export function withStart(exposures: readonly Exposure[], at: number, frame: number): Exposure[] {
  const moved = exposures[at];
  if (!moved) return [...exposures];
  const before = exposures[at - 1];
  const start = Math.max(before ? before.frame + 1 : 1, Math.round(frame));
  const touches = before !== undefined && before.frame + before.length === moved.frame;
  return exposures.map((exposure, index) => {
    if (index >= at) return { ...exposure, frame: exposure.frame + start - moved.frame };
    if (exposure !== before) return exposure;
    const room = start - before.frame;
    return { ...before, length: touches ? room : Math.min(before.length, room) };
  });
}

/** Changes places with the next exposure; both keep their lengths, and a gap between them stays between. */
export function withSwapped(exposures: readonly Exposure[], at: number): Exposure[] {
  const first = exposures[at];
  const second = exposures[at + 1];
  if (!first || !second) return [...exposures];
  const gap = second.frame - first.frame - first.length;
  return exposures.with(at, { ...second, frame: first.frame }).with(at + 1, {
    ...first,
    frame: first.frame + second.length + gap,
  });
}
