/**
 * How long to wait before trying again: doubled each time, with full jitter (any time up to that), so that a
 * studio's tablets do not all come back at the same moment after their server was away.
 */
const firstMs = 1000;
const longestMs = 60_000;

/** `attempt` counts failures from 1; `random` as of `Math.random`. Never under a tenth of a second. */
export function backoffMs(attempt: number, random: () => number): number {
  const ceilingMs = Math.min(longestMs, firstMs * 2 ** Math.min(attempt - 1, 10));
  return Math.max(100, Math.round(ceilingMs * random()));
}
