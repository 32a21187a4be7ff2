/** What a compare way makes of clean and rough, at thumb size, for the flash check. Pure. */
import type { Picture } from '../line/picture.ts';
import type { Compare } from '../stage/types.ts';

/**
 * Pictures on white paper, laid over each other as the stage lays them: ink darkens ink. The result has the
 * size of the first picture (twice as wide for side by side); others are read at the nearest pixel. An
 * empty list is white paper of `blankPx`.
 */
export function seen(
  clean: readonly Picture[],
  rough: readonly Picture[],
  compare: Compare,
  blankPx: readonly [width: number, height: number],
): Picture {
  switch (compare.way) {
    case 'clean':
      return overlaid(clean, blankPx);
    case 'rough':
      return overlaid(rough, blankPx);
    case 'underlay':
      return overlaid([...clean, faded(overlaid(rough, blankPx), compare.opacity)], blankPx);
    case 'difference':
      return overlaid([...clean, ...rough], blankPx);
    case 'wipe':
      return joined(overlaid(clean, blankPx), overlaid(rough, blankPx), compare.at);
    case 'side by side':
      return beside(overlaid(clean, blankPx), overlaid(rough, blankPx));
  }
}

type At = (picture: Picture, x: number, y: number, channel: number) => number;

/** The byte of a picture at a place of another's grid. */
const nearest =
  (width: number, height: number): At =>
  (picture, x, y, channel) => {
    const px = Math.min(picture.width - 1, Math.floor(((x + 0.5) * picture.width) / width));
    const py = Math.min(picture.height - 1, Math.floor(((y + 0.5) * picture.height) / height));
    const at = (py * picture.width + px) * picture.channels;
    return picture.data[at + (picture.channels === 4 ? channel : 0)] ?? 255;
  };

/** Four channels, opaque; `value` gives R, G and B. */
function made(
  width: number,
  height: number,
  value: (x: number, y: number, channel: number) => number,
): Picture {
  const data = new Uint8Array(4 * width * height).fill(255);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = 4 * (y * width + x);
      for (let channel = 0; channel < 3; channel++) data[at + channel] = value(x, y, channel);
    }
  }
  return { width, height, channels: 4, data };
}

function overlaid(pictures: readonly Picture[], [blankW, blankH]: readonly [number, number]): Picture {
  const first = pictures[0];
  const [width, height] = first ? [first.width, first.height] : [blankW, blankH];
  const at = nearest(width, height);
  return made(width, height, (x, y, channel) => {
    let light = 1;
    for (const picture of pictures) light *= at(picture, x, y, channel) / 255;
    return Math.round(255 * light);
  });
}

function faded(picture: Picture, opacity: number): Picture {
  const data = picture.data.map((value) => Math.round(255 - (255 - value) * opacity));
  return { ...picture, data };
}

function joined(left: Picture, right: Picture, share: number): Picture {
  const at = nearest(left.width, left.height);
  return made(left.width, left.height, (x, y, channel) =>
    at(x < share * left.width ? left : right, x, y, channel),
  );
}

function beside(left: Picture, right: Picture): Picture {
  const at = nearest(left.width, left.height);
  return made(2 * left.width, left.height, (x, y, channel) =>
    x < left.width ? at(left, x, y, channel) : at(right, x - left.width, y, channel),
  );
}
