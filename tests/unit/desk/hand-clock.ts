/** A clock that a test holds in its hand. */
import type { Clock } from '../../../src/desk/clock.ts';

export interface HandClock extends Clock {
  /** Time passes; what is due comes, in order. */
  pass(ms: number): void;
}

export function handClock(): HandClock {
  let now = 0;
  let ids = 0;
  let due: { atMs: number; callback: () => void }[] = [];
  const after = (delayMs: number, callback: () => void): (() => void) => {
    const entry = { atMs: now + delayMs, callback };
    due.push(entry);
    return () => {
      due = due.filter((other) => other !== entry);
    };
  };
  return {
    nowMs: () => now,
    wallMs: () => 1_764_000_000_000 + now,
    newId: () => `id-${++ids}`,
    onFrame: (callback) => after(16, callback),
    after,
    pass(ms) {
      const end = now + ms;
      for (;;) {
        const next = due.filter(({ atMs }) => atMs <= end).sort((a, b) => a.atMs - b.atMs)[0];
        if (!next) break;
        due = due.filter((other) => other !== next);
        now = Math.max(now, next.atMs);
        next.callback();
      }
      now = end;
    },
  };
}
