import type { LineSamples } from './samples.ts';

/** The same mid-line with every `stride`-th point of each chain, its ends kept. */
export function thin(samples: LineSamples, stride: number): LineSamples {
  if (stride <= 1) return samples;
  const kept: number[] = [];
  const chainStart = new Uint32Array(samples.chainStart.length);
  for (let c = 0; c + 1 < samples.chainStart.length; c++) {
    const [first, end] = [samples.chainStart[c]!, samples.chainStart[c + 1]!];
    for (let i = first; i < end; i += stride) kept.push(i);
    if (end - first > 1 && (end - 1 - first) % stride > 0) kept.push(end - 1);
    chainStart[c + 1] = kept.length;
  }
  const of = (values: Float32Array) => Float32Array.from(kept, (i) => values[i]!);
  return {
    stepPx: samples.stepPx * stride,
    x: of(samples.x),
    y: of(samples.y),
    tangentRad: of(samples.tangentRad),
    widthPx: of(samples.widthPx),
    chainStart,
    chainClosed: samples.chainClosed,
  };
}
