/** A shot's rate as a fraction, so that lengths are exact. */

export interface Rate {
  /** Frames in so many seconds … */
  readonly frames: number;
  /** … whole numbers, no common divisor. */
  readonly seconds: number;
}

/** Largest that fits where APNG keeps a delay (W3C PNG, 11.3.3: 16 bits each). */
const most = 65_535;

/**
 * 24 → 24/1, 29.97 or 30000/1001 → 30000/1001, 12.5 → 25/2. The broadcast rates are n × 1000/1001 (SMPTE ST 12-1), given
 * to two digits or more; any other is the nearest fraction (Stern–Brocot, by continued fractions) that fits.
 */
export function rateOf(fps: number): Rate {
  const whole = Math.round(fps);
  if (Math.abs(fps - whole) < 1e-9) return { frames: whole, seconds: 1 };
  const broadcast = Math.round((fps * 1001) / 1000) * 1000;
  if (Math.abs(fps - broadcast / 1001) < 5e-3 && broadcast <= most)
    return { frames: broadcast, seconds: 1001 };
  let [before, now] = [
    [1, 0],
    [Math.floor(fps), 1],
  ] as [[number, number], [number, number]];
  for (let rest = fps - Math.floor(fps); rest > 1e-9; ) {
    const inverse = 1 / rest;
    const step = Math.floor(inverse + 1e-9);
    const next: [number, number] = [step * now[0] + before[0], step * now[1] + before[1]];
    if (next[0] > most || next[1] > most) break;
    [before, now] = [now, next];
    rest = inverse - step;
  }
  return { frames: Math.max(1, now[0]), seconds: now[1] };
}

/** Length of so many frames, seconds. */
export const lengthOf = (frames: number, rate: Rate): number => (frames * rate.seconds) / rate.frames;
