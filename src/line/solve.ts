/**
 * Solves a small dense system by Gauss elimination with row pivoting. `matrix` is n × n row by row.
 * `undefined` when it is singular to working precision.
 */
export function solve(matrix: Float64Array, right: Float64Array): Float64Array | undefined {
  const n = right.length;
  const m = Float64Array.from(matrix);
  const x = Float64Array.from(right);
  for (let col = 0; col < n; col++) {
    let pivot = col;
    for (let row = col + 1; row < n; row++) {
      if (Math.abs(m[row * n + col]!) > Math.abs(m[pivot * n + col]!)) pivot = row;
    }
    if (Math.abs(m[pivot * n + col]!) < 1e-12) return undefined;
    if (pivot !== col) {
      for (let k = 0; k < n; k++) [m[col * n + k], m[pivot * n + k]] = [m[pivot * n + k]!, m[col * n + k]!];
      [x[col], x[pivot]] = [x[pivot]!, x[col]!];
    }
    for (let row = col + 1; row < n; row++) {
      const f = m[row * n + col]! / m[col * n + col]!;
      if (f === 0) continue;
      for (let k = col; k < n; k++) m[row * n + k]! -= f * m[col * n + k]!;
      x[row]! -= f * x[col]!;
    }
  }
  for (let row = n - 1; row >= 0; row--) {
    for (let k = row + 1; k < n; k++) x[row]! -= m[row * n + k]! * x[k]!;
    x[row]! /= m[row * n + row]!;
  }
  return x;
}
