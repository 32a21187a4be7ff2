import { PointIndex } from './point-index.ts';
import type { LineSamples } from './samples.ts';

/** A small piece of a drawing, assumed to move as one: the line points within a radius. */
export interface Patch {
  readonly x: number;
  readonly y: number;
  /** All points within the radius. */
  readonly members: Uint32Array;
  /** A few of them, spread evenly, for searching. */
  readonly probes: Uint32Array;
}

/** Covers a drawing's line with patches about `radiusPx · spread` apart; each centre lies on the line. */
export function patchesOf(
  samples: LineSamples,
  radiusPx: number,
  spread: number,
  mostProbes: number,
): Patch[] {
  const index = new PointIndex(samples.x, samples.y, radiusPx);
  const taken = new Uint8Array(samples.x.length);
  const out: Patch[] = [];
  for (let i = 0; i < samples.x.length; i++) {
    if (taken[i]) continue;
    const members: number[] = [];
    let sx = 0;
    let sy = 0;
    index.around(samples.x[i]!, samples.y[i]!, radiusPx, (j, distSqPx) => {
      members.push(j);
      sx += samples.x[j]!;
      sy += samples.y[j]!;
      if (distSqPx < (radiusPx * spread) ** 2) taken[j] = 1;
    });
    members.sort((p, q) => p - q);
    const stride = Math.max(1, members.length / mostProbes);
    const probes = new Uint32Array(Math.min(members.length, mostProbes));
    for (let k = 0; k < probes.length; k++) probes[k] = members[Math.floor(k * stride)]!;
    out.push({ x: sx / members.length, y: sy / members.length, members: Uint32Array.from(members), probes });
  }
  return out;
}
