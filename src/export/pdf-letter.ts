/** Letters drawn on a tablet, large. Apart from the painter: fetched only when a print is made. */
import { contextOf, exportFont } from './canvas.ts';
import type { DrawnLetter } from './pdf-lacking.ts';

const letterPx = 48;

/** A letter in the system's font, cut to its ink; undefined where it has none. */
export function pageLetter(letter: string): DrawnLetter | undefined {
  const side = 3 * letterPx;
  const context = contextOf(new OffscreenCanvas(side, side));
  context.font = `${letterPx}px ${exportFont}`;
  context.fillText(letter, letterPx / 2, 2 * letterPx);
  const { data } = context.getImageData(0, 0, side, side);
  let [left, top, right, bottom] = [side, side, -1, -1];
  for (let y = 0, i = 3; y < side; y++)
    for (let x = 0; x < side; x++, i += 4) {
      if (data[i] === 0) continue;
      [left, right] = [Math.min(left, x), Math.max(right, x)];
      [top, bottom] = [Math.min(top, y), Math.max(bottom, y)];
    }
  if (right < 0) return undefined;
  const [width, height] = [right - left + 1, bottom - top + 1];
  const coverage = Uint8Array.from(
    { length: width * height },
    (_, n) => data[4 * ((top + Math.floor(n / width)) * side + left + (n % width)) + 3] ?? 0,
  );
  return { width, height, coverage };
}
