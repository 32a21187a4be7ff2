/** A ring of red pencil round a place, as a director draws it. */
import type { Box } from '../../line/picture.ts';
import type { Stroke } from '../../note/entry.ts';

const steps = 36;
/** A line that can be seen on a drawing this wide, px: grows with the drawing. */
const widthOn2048 = 6;

/** In px of a drawing of `sizePx`; never tighter than a fingertip's width round a small fault. */
export function ringStroke([x, y, width, height]: Box, sizePx: readonly [number, number]): Stroke {
  const scale = sizePx[0] / 2048;
  const [rx, ry] = [width, height].map((side) => Math.max(side * 0.62, 26 * scale)) as [number, number];
  const points = Array.from({ length: steps + 3 }, (_, n) => {
    const angle = -2.1 + (2 * Math.PI * n) / steps;
    const drawnOut = 1 + (0.06 * n) / steps;
    return [
      Math.round(x + width / 2 + rx * drawnOut * Math.cos(angle)),
      Math.round(y + height / 2 + ry * drawnOut * Math.sin(angle)),
      0.5,
    ];
  });
  return { colour: 'red', widthPx: Math.max(1, widthOn2048 * scale), points: points.flat() };
}
