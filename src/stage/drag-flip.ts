/** A one-pointer drag over the paper: flips through the drawings, or moves the line of a wipe. */
import type { Point } from './camera.ts';

/** How far past the half-way mark the hand must go, in drawings: a trembling hand does not flicker. */
const HYSTERESIS = 0.15;
/** Half the width of the strip in which a drag takes the wipe line: 44 px in all. */
const WIPE_REACH_PX = 22;

/**
 * Whole drawings moved for a drag of so many px, given the drawings moved before. The first comes after
 * 0.65 of a step, the others a step apart; turning back costs 0.3 of a step more than going on.
 */
export function stepsOf(dragPx: number, before: number, stepPx: number): number {
  const place = dragPx / stepPx;
  const reach = 0.5 + HYSTERESIS;
  if (place >= before + reach) return Math.floor(place + 1 - reach);
  if (place <= before - reach) return Math.ceil(place - 1 + reach);
  return before;
}

export interface DragFlip {
  readonly begin: (at: Point) => void;
  readonly move: (at: Point) => void;
  readonly end: () => void;
}

export interface DragHooks {
  readonly stepPx: number;
  readonly flip: (steps: number) => void;
  /** Where the wipe line stands, stage px; `undefined` when there is none. */
  readonly wipeAt: () => number | undefined;
  readonly wipe: (atPx: number) => void;
}

/** To the right or downwards goes on, to the left or upwards goes back; the axis is that of the first move. */
export function createDragFlip(hooks: DragHooks): DragFlip {
  let start: Point | undefined;
  let axis: 0 | 1 | undefined;
  let wiping = false;
  let moved = 0;
  return {
    begin(at) {
      start = at;
      axis = undefined;
      moved = 0;
      const line = hooks.wipeAt();
      wiping = line !== undefined && Math.abs(at[0] - line) <= WIPE_REACH_PX;
    },
    move(at) {
      if (!start) return;
      if (wiping) {
        hooks.wipe(at[0]);
        return;
      }
      const [dx, dy] = [at[0] - start[0], at[1] - start[1]];
      if (dx || dy) axis ??= Math.abs(dx) >= Math.abs(dy) ? 0 : 1;
      const steps = stepsOf(axis === 1 ? dy : dx, moved, hooks.stepPx);
      if (steps !== moved) hooks.flip(steps - moved);
      moved = steps;
    },
    end() {
      start = undefined;
    },
  };
}
