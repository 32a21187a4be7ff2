/** How well two sets of ink points lie on each other, distances in px. */
export interface Agreement {
  /** Share of the first set within the tolerance of the second. */
  readonly precision: number;
  /** Share of the second set within the tolerance of the first. */
  readonly recall: number;
  readonly fScore: number;
  readonly meanToSecondPx: number;
  readonly meanToFirstPx: number;
  readonly hausdorffPx: number;
}

/**
 * Precision, recall and distances as the sketch clean-up benchmark defines them (Yan et al. 2020), from the
 * distance of each point to the other set. Their chamfer distance is the mean of the two means. Two empty
 * sets agree; an empty one and a full one do not.
 */
export function agreement(
  toSecondPx: ArrayLike<number>,
  toFirstPx: ArrayLike<number>,
  tolerancePx: number,
): Agreement {
  const first = summary(toSecondPx, tolerancePx);
  const second = summary(toFirstPx, tolerancePx);
  const precision = first.share;
  const recall = second.share;
  return {
    precision,
    recall,
    fScore: precision + recall > 0 ? (2 * precision * recall) / (precision + recall) : 0,
    meanToSecondPx: first.mean,
    meanToFirstPx: second.mean,
    hausdorffPx: Math.max(first.max, second.max),
  };
}

function summary(distances: ArrayLike<number>, tolerancePx: number) {
  let within = 0;
  let sum = 0;
  let max = 0;
  for (let i = 0; i < distances.length; i++) {
    const d = distances[i]!;
    if (d <= tolerancePx) within++;
    sum += d;
    if (d > max) max = d;
  }
  const n = Math.max(1, distances.length);
  return { share: distances.length === 0 ? 1 : within / n, mean: sum / n, max };
}
