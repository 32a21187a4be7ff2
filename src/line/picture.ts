/**
 * A decoded drawing, the one form in which pixels travel between rooms.
 *
 * `data` holds `width × height × channels` bytes, rows from the top, no padding. One channel is
 * luminance on white paper (0 ink, 255 paper). Four channels are R, G, B, A, 8 bit, not premultiplied,
 * sRGB as stored in the file. 16-bit files are reduced to 8 bit at intake.
 */
export interface Picture {
  readonly width: number;
  readonly height: number;
  readonly channels: 1 | 4;
  readonly data: Uint8Array;
}

/** A rectangle in image pixels, origin at the top left corner: `[x, y, width, height]`. */
export type Box = readonly [x: number, y: number, width: number, height: number];
