import type { Picture } from '../../line/picture.ts';
import { sha256Hex } from '../make-image.ts';

/** A digest of size and pixels: equal for equal pictures, whatever their files. */
export async function pixelsOf({ width, height, channels, data }: Picture): Promise<string> {
  return `${width}x${height}:${channels}:${await sha256Hex(data)}`;
}
