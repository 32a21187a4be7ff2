/** Small order statistics. NaN values are left out; an empty set gives NaN. */
export function quantile(values: ArrayLike<number>, q: number): number {
  const sorted = new Float64Array(values.length);
  let count = 0;
  for (let i = 0; i < values.length; i++) if (!Number.isNaN(values[i]!)) sorted[count++] = values[i]!;
  return quantileOfSorted(sorted.subarray(0, count).sort(), q);
}

/** As `quantile`, of ascending values without NaN. */
export function quantileOfSorted(sorted: ArrayLike<number>, q: number): number {
  if (sorted.length === 0) return Number.NaN;
  const at = q * (sorted.length - 1);
  const low = Math.floor(at);
  return sorted[low]! + (at - low) * ((sorted[low + 1] ?? sorted[low]!) - sorted[low]!);
}

export function median(values: ArrayLike<number>): number {
  return quantile(values, 0.5);
}

/** Median of values that count by weight: half of the weight lies on either side. NaN when none has any. */
export function weightedMedian(values: ArrayLike<number>, weights: ArrayLike<number>): number {
  const order = Array.from({ length: values.length }, (_, i) => i)
    .filter((i) => weights[i]! > 0 && !Number.isNaN(values[i]!))
    .sort((i, j) => values[i]! - values[j]!);
  const half = order.reduce((sum, i) => sum + weights[i]!, 0) / 2;
  let sum = 0;
  for (const i of order) {
    sum += weights[i]!;
    if (sum >= half) return values[i]!;
  }
  return Number.NaN;
}
