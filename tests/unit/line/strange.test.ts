import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { makeImage } from '../../../src/intake/make-image.ts';
import { decodePicture } from '../../../src/intake/node/decode-picture.ts';
import { reduce } from '../../../src/intake/reduce.ts';
import type { Picture } from '../../../src/line/picture.ts';
import { strangeKind } from '../../../src/line/strange.ts';

const [width, height] = [300, 200];
const grey = (value: (x: number, y: number) => number, scale = 1): Picture => ({
  width: width * scale,
  height: height * scale,
  channels: 1,
  data: Uint8Array.from({ length: width * height * scale * scale }, (_, i) =>
    value(i % (width * scale), Math.floor(i / (width * scale))),
  ),
});
/** A ring of the given radius and width round the middle. */
const ring = (x: number, y: number) => Math.abs(Math.hypot(x - 150, y - 100) - 70) < 2;
const random = (seed: number) => () => {
  // Numerical Recipes' linear congruential generator.
  seed = (Math.imul(seed, 1_664_525) + 1_013_904_223) >>> 0;
  return seed / 2 ** 32;
};

describe('what a picture is', () => {
  it('line on paper, bare paper, grain, close hatching and large blacks are drawings', () => {
    const noise = random(7);
    expect(strangeKind(grey((x, y) => (ring(x, y) ? 0 : 255)))).toBeUndefined();
    expect(strangeKind(grey(() => 255))).toBeUndefined();
    expect(strangeKind(grey((x, y) => (ring(x, y) ? 20 : 235) + 10 * (noise() - 0.5)))).toBeUndefined();
    // Lines of 3 px, 6 px apart, over the whole page.
    expect(strangeKind(grey((x) => (x % 6 < 3 ? 0 : 255)))).toBeUndefined();
    expect(strangeKind(grey((x, y) => (x > 8 && y > 8 && x < 290 && y < 190 ? 0 : 255)))).toBeUndefined();
  });

  it('black all over, white line on black, noise', () => {
    expect(strangeKind(grey(() => 3))).toBe('black');
    expect(strangeKind(grey((x, y) => (ring(x, y) ? 255 : 0)))).toBe('inverted');
    for (const seed of [1, Date.now() % 1e6]) {
      const noise = random(seed);
      const even = grey(() => 255 * noise(), 4);
      expect(strangeKind(even), `seed ${seed}`).toBe('noise');
      // As a tablet sees a picture of twice and four times its flip size.
      for (const edge of [600, 300])
        expect(strangeKind(reduce(even, edge)), `seed ${seed}, ${edge} px`).toBe('noise');
    }
  });

  it('no sample drawing is strange', async () => {
    for (const path of ['wenna-hears-the-ferry/clean/0001.png', 'wenna-hears-the-ferry/rough/0001.png']) {
      const picture = await decodePicture(`sample-shots/${path}`);
      expect(strangeKind(reduce(picture, 2048)), path).toBeUndefined();
    }
  });

  it('is told when it is taken in', async () => {
    const file = new ArrayBuffer(1);
    const { told } = await makeImage(
      { picture: grey((x, y) => (ring(x, y) ? 255 : 0)), mediaType: 'image/png', told: [] },
      file,
      false,
    );
    expect(told).toEqual(['it is white line on black; it was taken, and is not measured']);
    // The same from a file, drawn by another program.
    const svg = Buffer.from(
      `<svg xmlns="http://www.w3.org/2000/svg" width="300" height="200"><rect width="300" height="200"/><circle cx="150" cy="100" r="70" fill="none" stroke="#fff" stroke-width="4"/></svg>`,
    );
    expect(strangeKind(await decodePicture(await sharp(svg).png().toBuffer()))).toBe('inverted');
  });
});
