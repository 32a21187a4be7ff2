/** Relative luminance and chromaticity of sRGB, as WCAG 2.2 and IEC 61966-2-1 define them. */

/** sRGB byte to linear light 0..1 (IEC 61966-2-1:1999, the 0.04045 knee). */
export const linearOf: Float64Array = Float64Array.from({ length: 256 }, (_, byte) => {
  const value = byte / 255;
  return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
});

/** Relative luminance Y, 0 (black) to 1 (white), of linear R, G, B 0..1 (WCAG 2.2, "relative luminance"). */
export function luminanceOf(red: number, green: number, blue: number): number {
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

/**
 * CIE 1976 u′, v′ of linear sRGB 0..1, with the matrix of IEC 61966-2-1. Black has no chromaticity: it gets
 * that of white, so that it counts as neutral.
 */
export function chromaticityOf(red: number, green: number, blue: number): readonly [u: number, v: number] {
  if (red + green + blue === 0) return chromaticityOf(1, 1, 1);
  const x = 0.4124 * red + 0.3576 * green + 0.1805 * blue;
  const y = luminanceOf(red, green, blue);
  const z = 0.0193 * red + 0.1192 * green + 0.9505 * blue;
  const sum = x + 15 * y + 3 * z;
  return [(4 * x) / sum, (9 * y) / sum];
}

/** A saturated red has at least this share of red light, R/(R+G+B), linear (WCAG 2.2, "red flash"). */
const SATURATED_RED = 0.8;

export function isSaturatedRed(red: number, green: number, blue: number): boolean {
  const sum = red + green + blue;
  return sum > 0 && red / sum >= SATURATED_RED;
}
