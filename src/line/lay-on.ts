import type { Picture } from './picture.ts';
import type { TakeMove } from './redrawn.ts';
import { applyMove } from './register.ts';

/**
 * The older take as it lies under the newer one: at the newer one's size, moved back by `move` (see
 * `TakeChange`). Read linearly between pixels; what lay outside the older paper is white.
 */
export function layOn(
  older: Picture,
  move: TakeMove | undefined,
  { width, height }: { readonly width: number; readonly height: number },
): Picture {
  const { channels, data: from } = older;
  const colours = channels === 4 ? 3 : 1;
  const data = new Uint8Array(width * height * channels).fill(255);
  const scaleX = older.width / width;
  const scaleY = older.height / height;
  // An affine map: its value at the first pixel and its steps along both axes say all of it.
  const placeOf = (x: number, y: number): [number, number] => {
    const [px, py] = [(x + 0.5) * scaleX, (y + 0.5) * scaleY];
    const [mx, my] = move ? applyMove(move, older, px, py) : [px, py];
    return [mx - 0.5, my - 0.5];
  };
  const origin = placeOf(0, 0);
  const [alongX, alongY] = [placeOf(1, 0), placeOf(0, 1)];
  const step = [alongX[0] - origin[0], alongX[1] - origin[1]] as const;
  const row = [alongY[0] - origin[0], alongY[1] - origin[1]] as const;
  for (let y = 0, to = 0; y < height; y++) {
    let sx = origin[0] + row[0] * y;
    let sy = origin[1] + row[1] * y;
    for (let x = 0; x < width; x++, to += channels, sx += step[0], sy += step[1]) {
      const left = Math.floor(sx);
      const top = Math.floor(sy);
      if (sx < -0.5 || sy < -0.5 || sx > older.width - 0.5 || sy > older.height - 0.5) continue;
      const [u, v] = [sx - left, sy - top];
      // Half a pixel over the edge still is its outermost pixel.
      const [near, far] = [Math.max(0, left), Math.min(older.width - 1, left + 1)];
      const above = Math.max(0, top) * older.width;
      const below = Math.min(older.height - 1, top + 1) * older.width;
      const [a, b] = [(above + near) * channels, (above + far) * channels];
      const [c, d] = [(below + near) * channels, (below + far) * channels];
      let [ofA, ofB, ofC, ofD] = [(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v];
      if (channels === 4) {
        // A colour counts by its alpha, or the black of bare pixels would fringe every line.
        ofA *= from[a + 3]!;
        ofB *= from[b + 3]!;
        ofC *= from[c + 3]!;
        ofD *= from[d + 3]!;
        data[to + 3] = Math.round(ofA + ofB + ofC + ofD);
      }
      const all = ofA + ofB + ofC + ofD || 1;
      for (let k = 0; k < colours; k++) {
        const sum = ofA * from[a + k]! + ofB * from[b + k]! + ofC * from[c + k]! + ofD * from[d + k]!;
        data[to + k] = Math.round(sum / all);
      }
    }
  }
  return { width, height, channels, data };
}
