/** Sizes in words. */
import type { Usage } from '../shelf/types.ts';

export function sizeWords(bytes: number): string {
  const units = ['bytes', 'kB', 'MB', 'GB', 'TB'];
  let value = bytes;
  let unit = 0;
  while (value >= 1000 && unit < units.length - 1) {
    value /= 1000;
    unit += 1;
  }
  const digits = unit > 0 && value < 10 ? 1 : 0;
  return `${value.toFixed(digits)} ${units[unit]}`;
}

/**
 * What is kept, as the shots on the shelf add up, and the room left as the browser guesses it: its guess of what is
 * used packs drawings, and says another number than the shots do.
 */
export function keptWords({ perShot, usedBytes, quotaBytes }: Usage): string {
  const kept = [...perShot.values()].reduce((sum, bytes) => sum + bytes, 0);
  const room =
    quotaBytes === undefined ? '' : `, room for ${sizeWords(Math.max(0, quotaBytes - usedBytes))} more`;
  return `${sizeWords(kept)} kept on this tablet${room}.`;
}
