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

/**
 * Medians of stretches `from` … `to` of the values, the later one cut off. Cheap where each stretch lies a little further
 * on than the one before: what it holds is kept in order, and only what comes and goes is put in or taken out.
 */
export function movingMedian(values: ArrayLike<number>): (from: number, to: number) => number {
  const sorted = new Float64Array(values.length);
  let [first, end, count] = [0, 0, 0];
  /** How many are less than a value. */
  const placeOf = (value: number): number => {
    let [low, high] = [0, count];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (sorted[middle]! < value) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  const add = (value: number): void => {
    if (Number.isNaN(value)) return;
    const at = placeOf(value);
    sorted.copyWithin(at + 1, at, count++);
    sorted[at] = value;
  };
  const take = (value: number): void => {
    if (Number.isNaN(value)) return;
    const at = placeOf(value);
    sorted.copyWithin(at, at + 1, count--);
  };
  return (from, to) => {
    if (from < first || from >= end || to < end) [first, end, count] = [from, from, 0];
    while (end < to) add(values[end++]!);
    while (first < from) take(values[first++]!);
    if (count === 0) return Number.NaN;
    const low = (count - 1) >> 1;
    return (sorted[low]! + sorted[count >> 1]!) / 2;
  };
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
