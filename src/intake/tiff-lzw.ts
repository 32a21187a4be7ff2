/**
 * Whether a strip of LZW (TIFF 6.0, section 13) says only codes that its table holds by then. On any other utif2 4.1
 * follows the table round in a circle and never ends (found by fuzzing).
 */
export function isSoundLzw(file: Uint8Array, start: number, end: number): boolean {
  const [clear, endOfStrip, firstFree, most] = [256, 257, 258, 4096];
  let [width, next, afterClear] = [9, firstFree, false];
  for (let bit = start * 8; bit < end * 8; ) {
    const at = bit >>> 3;
    const three = ((file[at] ?? 0) << 16) | ((file[at + 1] ?? 0) << 8) | (file[at + 2] ?? 0);
    const code = (three >>> (24 - (bit & 7) - width)) & ((1 << width) - 1);
    bit += width;
    if (code === endOfStrip) return true;
    if (code === clear) {
      [width, next, afterClear] = [9, firstFree, true];
    } else if (afterClear) {
      if (code >= clear) return false;
      afterClear = false;
    } else {
      // One that is just being made may be meant already.
      if (code > next) return false;
      next = Math.min(next + 1, most);
      if (next + 1 === 1 << width && width < 12) width++;
    }
  }
  return true;
}
