/**
 * A hybrid logical clock (Kulkarni, Demirbas, Madappa, Avva & Leone 2014, "Logical Physical Clocks",
 * fig. 5): a stamp is never smaller than one its writer had seen, however wrong the clocks are.
 *
 * The paper bounds how far a received stamp may run ahead, and drops what exceeds it. We do not: a tablet
 * three days ahead would then win every choice for three days, whatever anyone did after seeing it. Here
 * everyone who has seen its entries stamps past them, so nothing is dropped and nothing stays hidden.
 */
import { lastCounter, lastWallMs, type Stamp } from './entry.ts';

export const firstStamp: Stamp = { wallMs: 0, counter: 0 };

/** Negative when `a` is earlier. Zero only for equal stamps: `compareEntries` breaks that tie by id. */
export function compareStamps(a: Stamp, b: Stamp): number {
  return a.wallMs - b.wallMs || a.counter - b.counter;
}

/**
 * The stamp of something done now: greater than `previous` even when the wall clock stood still or was
 * set back. `wallMs` is rounded down and held to the years 1970 to 9999; a clock that says NaN counts as 0.
 */
export function tick(previous: Stamp, wallMs: number): Stamp {
  const nowMs = sane(wallMs);
  return nowMs > previous.wallMs ? { wallMs: nowMs, counter: 0 } : after(previous);
}

/** The clock after seeing someone else's stamp: greater than `previous` and than `seen`. */
export function receive(previous: Stamp, seen: Stamp, wallMs: number): Stamp {
  return tick(compareStamps(previous, seen) < 0 ? seen : previous, wallMs);
}

/** The greatest stamp of many; `firstStamp` of none. Start a clock with it after reading the shelf. */
export function latestStamp(stamps: Iterable<Stamp>): Stamp {
  let latest = firstStamp;
  for (const stamp of stamps) if (compareStamps(latest, stamp) < 0) latest = stamp;
  return latest;
}

function sane(wallMs: number): number {
  return Math.min(lastWallMs, Math.max(0, Math.floor(wallMs) || 0));
}

/** A full counter carries into the milliseconds, so that stamps keep growing within their limits. */
function after(stamp: Stamp): Stamp {
  if (stamp.counter < lastCounter) return { wallMs: stamp.wallMs, counter: stamp.counter + 1 };
  // At the end of time it stands still, rather than run back.
  return stamp.wallMs < lastWallMs ? { wallMs: stamp.wallMs + 1, counter: 0 } : stamp;
}
