/** Frames as video encoders take them. Pure. */
import type { Picture } from '../../line/picture.ts';

/** Luma's shares of red and blue (Rec. ITU-R BT.709-6, 3.2); green has the rest. */
const [redShare, blueShare] = [0.2126, 0.0722];
const greenShare = 1 - redShare - blueShare;

/**
 * Y′CbCr 4:2:0, 8 bit, narrow range, matrix of BT.709 (3.4 and 4): Y′ 16 to 235, then Cb, then Cr 16 to 240 of each 2 × 2
 * px, averaged. `width` and `height` are even. Alpha is left out: frames are opaque.
 */
export function i420Of({ width, height, channels, data }: Picture): Uint8Array<ArrayBuffer> {
  const pixels = width * height;
  const [halfW, halfH] = [width >> 1, height >> 1];
  const out = new Uint8Array(pixels + 2 * halfW * halfH);
  if (channels === 1) {
    const luma = Uint8Array.from({ length: 256 }, (_, value) => Math.round(16 + (219 * value) / 255));
    for (let at = 0; at < pixels; at++) out[at] = luma[data[at] as number] as number;
    out.fill(128, pixels);
    return out;
  }
  const [blueAt, redAt] = [pixels, pixels + halfW * halfH];
  for (let y = 0; y < height; y += 2)
    for (let x = 0; x < width; x += 2) {
      let [red, green, blue] = [0, 0, 0];
      for (const at of [y * width + x, y * width + x + 1, (y + 1) * width + x, (y + 1) * width + x + 1]) {
        const [r, g, b] = [data[4 * at] as number, data[4 * at + 1] as number, data[4 * at + 2] as number];
        out[at] = Math.round(16 + (219 * (redShare * r + greenShare * g + blueShare * b)) / 255);
        red += r / 4;
        green += g / 4;
        blue += b / 4;
      }
      const luma = redShare * red + greenShare * green + blueShare * blue;
      const at = (y >> 1) * halfW + (x >> 1);
      out[blueAt + at] = Math.round(128 + (224 * (blue - luma)) / (2 * (1 - blueShare) * 255));
      out[redAt + at] = Math.round(128 + (224 * (red - luma)) / (2 * (1 - redShare) * 255));
    }
  return out;
}
