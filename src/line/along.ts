import type { LineSamples } from './samples.ts';

/** A mid-line whose directions are also at hand as vectors of length 1: fits ask for them thousands of times. */
export interface AlongSamples extends LineSamples {
  readonly alongX: Float64Array;
  readonly alongY: Float64Array;
}

export function withAlong(samples: LineSamples): AlongSamples {
  return {
    ...samples,
    alongX: Float64Array.from(samples.tangentRad, Math.cos),
    alongY: Float64Array.from(samples.tangentRad, Math.sin),
  };
}
