/** Small order statistics. NaN values are left out; an empty set gives NaN. */
export function quantile(values: ArrayLike<number>, q: number): number {
  const kept = new Float64Array(values.length);
  let count = 0;
  for (let i = 0; i < values.length; i++) if (!Number.isNaN(values[i]!)) kept[count++] = values[i]!;
  return quantileWithin(kept.subarray(0, count), q);
}

/** As `quantile`, of values without NaN, which are brought into another order. */
export function quantileWithin(values: Float32Array | Float64Array, q: number): number {
  if (values.length === 0) return Number.NaN;
  const at = q * (values.length - 1);
  const low = Math.floor(at);
  select(values, low);
  let next = low + 1 < values.length ? Infinity : values[low]!;
  for (let i = low + 1; i < values.length; i++) if (values[i]! < next) next = values[i]!;
  return values[low]! + (at - low) * (next - values[low]!);
}

/** Brings to place `k` what sorting would put there, nothing larger before it (Hoare 1961). */
function select(values: Float32Array | Float64Array, k: number): void {
  let left = 0;
  let right = values.length - 1;
  while (left < right) {
    const a = values[left]!;
    const b = values[(left + right) >> 1]!;
    const c = values[right]!;
    const pivot = Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
    let i = left;
    let j = right;
    while (i <= j) {
      while (values[i]! < pivot) i++;
      while (values[j]! > pivot) j--;
      if (i > j) break;
      const swapped = values[i]!;
      values[i++] = values[j]!;
      values[j--] = swapped;
    }
    if (k <= j) right = j;
    else if (k >= i) left = i;
    else return;
  }
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
