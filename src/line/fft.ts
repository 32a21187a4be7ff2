/**
 * In-place radix-2 fast Fourier transform (Cooley & Tukey 1965), as far as phase correlation needs it.
 * Lengths are powers of two. The inverse is not divided by the length.
 */
function fft(re: Float64Array, im: Float64Array, inverse: boolean): void {
  const n = re.length;
  if (n !== im.length || (n & (n - 1)) !== 0) {
    throw new RangeError(`fft needs two arrays of one power-of-two length, received ${n} and ${im.length}`);
  }
  for (let i = 1, j = 0; i < n; i++) {
    let bit = n >> 1;
    for (; j & bit; bit >>= 1) j ^= bit;
    j ^= bit;
    if (i < j) {
      [re[i], re[j]] = [re[j]!, re[i]!];
      [im[i], im[j]] = [im[j]!, im[i]!];
    }
  }
  for (let size = 2; size <= n; size <<= 1) {
    const half = size >> 1;
    const stepRad = ((inverse ? 2 : -2) * Math.PI) / size;
    for (let k = 0; k < half; k++) {
      const c = Math.cos(stepRad * k);
      const s = Math.sin(stepRad * k);
      for (let a = k; a < n; a += size) {
        const b = a + half;
        const tr = re[b]! * c - im[b]! * s;
        const ti = re[b]! * s + im[b]! * c;
        re[b] = re[a]! - tr;
        im[b] = im[a]! - ti;
        re[a] = re[a]! + tr;
        im[a] = im[a]! + ti;
      }
    }
  }
}

/** Two-dimensional transform of a `width × height` grid in place; both are powers of two. */
export function fft2(
  re: Float64Array,
  im: Float64Array,
  width: number,
  height: number,
  inverse: boolean,
): void {
  for (let y = 0; y < height; y++) {
    const row = y * width;
    fft(re.subarray(row, row + width), im.subarray(row, row + width), inverse);
  }
  const colRe = new Float64Array(height);
  const colIm = new Float64Array(height);
  for (let x = 0; x < width; x++) {
    for (let y = 0; y < height; y++) {
      colRe[y] = re[y * width + x]!;
      colIm[y] = im[y * width + x]!;
    }
    fft(colRe, colIm, inverse);
    for (let y = 0; y < height; y++) {
      re[y * width + x] = colRe[y]!;
      im[y * width + x] = colIm[y]!;
    }
  }
}
