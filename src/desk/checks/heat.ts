/** Which stretch of the line gets which step of the heat, and what each step means. Pure. */
import type { Measured } from '../../check/measured.ts';
import { keysWeightPx } from '../../check/measured.ts';
import type { Tolerances } from '../../check/tolerances.ts';
import { isRefused } from '../../line/refused.ts';
import type { LineSamples } from '../../line/samples.ts';

export interface Scale {
  /** Upper bounds of all steps but the last, px, ascending. */
  readonly boundsPx: readonly number[];
  /** Steps that are within tolerance: drawn thin. */
  readonly quiet: readonly number[];
}

export interface Heat {
  readonly scale: Scale;
  readonly samples: LineSamples;
  /** Step of each point; −1 where nothing was measured. */
  readonly steps: Int8Array;
}

/**
 * Weight: seven steps about the keys' median, the middle three within tolerance. Thinner than the keys is
 * lighter and heavier darker, so one hue says both.
 */
export function weightScale(keysPx: number, { weight }: Tolerances): Scale {
  const at = (times: number): number => keysPx * (1 + times * weight);
  return { boundsPx: [at(-2), at(-1), at(-0.4), at(0.4), at(1), at(2)], quiet: [2, 3, 4] };
}

/** Drift: five steps from none to more than twice the tolerance; the first two within it. */
export function driftScale({ driftPx }: Tolerances): Scale {
  return { boundsPx: [0.5 * driftPx, driftPx, 1.5 * driftPx, 2 * driftPx], quiet: [0, 1] };
}

export const stepCount = ({ boundsPx }: Scale): number => boundsPx.length + 1;

function stepOf(value: number, { boundsPx }: Scale): number {
  if (!(value >= 0)) return -1;
  const step = boundsPx.findIndex((bound) => value <= bound);
  return step < 0 ? boundsPx.length : step;
}

/** `tolerances` as scaled to the paper. Undefined with a reason where there is nothing to show. */
export function heatOf(
  kind: 'weight' | 'drift',
  { measures, failed }: Measured,
  level: readonly Measured[],
  tolerances: Tolerances,
): Heat | { readonly refused: string } {
  if (!measures) return { refused: failed ? `it could not be read: ${failed}` : 'it is not measured yet' };
  const { samples, drift } = measures;
  if (kind === 'weight') {
    const keysPx = keysWeightPx(level);
    if (!keysPx) return { refused: 'no line of the keys could be measured' };
    const scale = weightScale(keysPx, tolerances);
    return { scale, samples, steps: Int8Array.from(samples.widthPx, (width) => stepOf(width, scale)) };
  }
  if (isRefused(drift)) return drift;
  const scale = driftScale(tolerances);
  return { scale, samples, steps: Int8Array.from(drift.alongPx, (away) => stepOf(away, scale)) };
}

/** Stretches of one step along the chains, each a list of points' indices; neighbours share an end. */
export function stretches({ samples, steps }: Pick<Heat, 'samples' | 'steps'>): Map<number, number[][]> {
  const found = new Map<number, number[][]>();
  for (let chain = 0; chain + 1 < samples.chainStart.length; chain++) {
    let run: number[] = [];
    const [first, last] = [samples.chainStart[chain] ?? 0, samples.chainStart[chain + 1] ?? 0];
    const end = (): void => {
      const step = steps[run[0] ?? -1] ?? -1;
      if (run.length > 1 && step >= 0) found.set(step, [...(found.get(step) ?? []), run]);
    };
    for (let at = first; at < last; at++) {
      const goesOn = run.length === 0 || steps[at] === steps[run[0] ?? -1];
      run.push(at);
      if (goesOn) continue;
      end();
      run = [at];
    }
    end();
  }
  return found;
}
