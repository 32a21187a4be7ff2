/** How much of a picture changes at once within one field of view. */

/** A mask of changed pixels, row by row: bit 1 brighter, bit 2 darker. */
export interface ChangeMask {
  readonly width: number;
  readonly height: number;
  readonly bits: Uint8Array;
}

/**
 * The most pixels with `bit` set inside any window of `windowW × windowH` px (WCAG 2.2: "any 10 degree
 * visual field"). A window larger than the picture counts the whole picture. Summed-area table (Crow 1984).
 */
export function mostInWindow(mask: ChangeMask, bit: 1 | 2, windowW: number, windowH: number): number {
  const { width, height, bits } = mask;
  const [w, h] = [Math.min(width, windowW), Math.min(height, windowH)];
  const stride = width + 1;
  const sums = new Uint32Array(stride * (height + 1));
  for (let y = 0; y < height; y++) {
    let row = 0;
    for (let x = 0; x < width; x++) {
      if ((bits[y * width + x] as number) & bit) row++;
      sums[(y + 1) * stride + x + 1] = (sums[y * stride + x + 1] as number) + row;
    }
  }
  let most = 0;
  for (let y = h; y <= height; y++)
    for (let x = w; x <= width; x++) {
      const inside =
        (sums[y * stride + x] as number) -
        (sums[(y - h) * stride + x] as number) -
        (sums[y * stride + x - w] as number) +
        (sums[(y - h) * stride + x - w] as number);
      if (inside > most) most = inside;
    }
  return most;
}
