/** Decoded pixels laid on white paper, grey told apart from coloured. */
import type { Picture } from '../line/picture.ts';

/**
 * A picture on opaque white paper (W3C Compositing, source-over). One channel when every pixel on paper has
 * R = G = B exactly, else four with A = 255; a colour hidden under full transparency does not count.
 * `data` of the result may be `picture.data` itself, changed.
 */
export function onPaper({ width, height, channels, data }: Picture): Picture {
  if (channels === 1) return { width, height, channels, data };
  const pixels = new Uint32Array(data.buffer, data.byteOffset, width * height);
  return { width, height, ...(layOnWhite(pixels) ? greyOf(pixels) : { channels: 4, data }) };
}

/** Little-endian, as every device that runs this app: A is the high byte. */
const white = 0xff_ff_ff_ff;

/** Composites in place; returns whether all is grey. */
function layOnWhite(pixels: Uint32Array): boolean {
  let tint = 0;
  for (let i = 0; i < pixels.length; i++) {
    let pixel = pixels[i]!;
    if (pixel === white) continue;
    const alpha = pixel >>> 24;
    if (alpha !== 255) {
      pixel = alpha === 0 ? white : overWhite(pixel, alpha);
      pixels[i] = pixel;
    }
    // R against G and G against B in one step.
    tint |= (pixel ^ (pixel >>> 8)) & 0xff_ff;
  }
  return tint === 0;
}

function overWhite(pixel: number, alpha: number): number {
  const paper = 255 * (255 - alpha);
  const mix = (shift: number) => Math.round((((pixel >>> shift) & 255) * alpha + paper) / 255);
  return (white & ~0xff_ff_ff) | (mix(16) << 16) | (mix(8) << 8) | mix(0);
}

function greyOf(pixels: Uint32Array): { channels: 1; data: Uint8Array } {
  const data = new Uint8Array(pixels.length);
  for (let i = 0; i < pixels.length; i++) data[i] = pixels[i]! & 255;
  return { channels: 1, data };
}
