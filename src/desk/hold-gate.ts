/**
 * Press and hold, again and again, makes two drawings alternate. WCAG 2.2, 2.3.1 allows three flashes in
 * any one second; a flash is a pair of opposing changes, so changes closer than a sixth of a second wait.
 */
import type { Clock } from './clock.ts';

/** Slightly over 1000 / 6, so that six changes never fit into one second. */
const leastGapMs = 170;

/** Calls `change` with what was asked last, at once or as soon as it is safe. */
export function holdGate(clock: Clock, change: (down: boolean) => void): (down: boolean) => void {
  let lastMs = Number.NEGATIVE_INFINITY;
  let now = false;
  let asked = false;
  let waits = false;

  function settle(): void {
    waits = false;
    if (asked === now) return;
    now = asked;
    lastMs = clock.nowMs();
    change(now);
  }

  return (down) => {
    asked = down;
    const restMs = lastMs + leastGapMs - clock.nowMs();
    if (restMs <= 0) settle();
    else if (!waits) {
      waits = true;
      clock.after(restMs, settle);
    }
  };
}
