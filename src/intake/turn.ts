/** Pictures turned as their files ask. */
import type { Picture } from '../line/picture.ts';

/**
 * Turns a picture upright by an EXIF or TIFF orientation (1 to 8; other numbers count as 1): 2 mirrored,
 * 3 upside down, 4 mirrored and upside down, 5 to 8 the same with rows and columns exchanged.
 */
export function turn(picture: Picture, orientation: number): Picture {
  if (!(orientation >= 2 && orientation <= 8)) return picture;
  const { width, height, channels, data } = picture;
  const swapped = orientation >= 5;
  const fromRight = [2, 3, 7, 8].includes(orientation);
  const fromBelow = [3, 4, 6, 7].includes(orientation);
  const [newWidth, newHeight] = swapped ? [height, width] : [width, height];
  const out = new Uint8Array(data.length);
  for (let y = 0; y < newHeight; y++)
    for (let x = 0; x < newWidth; x++) {
      const [column, row] = swapped ? [y, x] : [x, y];
      const sourceX = fromRight ? width - 1 - column : column;
      const sourceY = fromBelow ? height - 1 - row : row;
      const from = (sourceY * width + sourceX) * channels;
      out.set(data.subarray(from, from + channels), (y * newWidth + x) * channels);
    }
  return { width: newWidth, height: newHeight, channels, data: out };
}
