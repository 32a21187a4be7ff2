/** An animated PNG as upng-js (Photopea, MIT), a reader from outside, sees it. */
import upng from 'upng-js';

export interface ReadApng {
  readonly width: number;
  readonly height: number;
  readonly loops: number | undefined;
  /** Of each frame: how long it stays, rounded to ms, and what is seen, R, G, B, A. */
  readonly delaysMs: readonly number[];
  readonly rgba: readonly Uint8Array[];
  readonly lengthMs: number;
}

export function readApng(file: Uint8Array): ReadApng {
  const image = upng.decode(new Uint8Array(file).buffer);
  const delaysMs = image.frames.map(({ delay }) => delay);
  return {
    width: image.width,
    height: image.height,
    loops: image.tabs.acTL?.num_plays,
    delaysMs,
    rgba: upng.toRGBA8(image).map((bytes) => new Uint8Array(bytes)),
    lengthMs: delaysMs.reduce((sum, delay) => sum + delay, 0),
  };
}
