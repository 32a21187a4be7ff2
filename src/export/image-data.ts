import type { Picture } from '../line/picture.ts';

/** A picture's pixels for a canvas. */
export function imageDataOf({ width, height, channels, data }: Picture): ImageData {
  const pixels = new Uint8ClampedArray(4 * width * height);
  if (channels === 4) pixels.set(data);
  else {
    // Whole pixels at once: every tablet is little-endian, so the opaque byte is the highest.
    const whole = new Uint32Array(pixels.buffer);
    for (let n = 0; n < data.length; n++) whole[n] = 0xff000000 | ((data[n] ?? 255) * 0x010101);
  }
  return new ImageData(pixels, width, height);
}
