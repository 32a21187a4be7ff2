import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { decode } from '../../../src/intake/decode.ts';
import { makeImage } from '../../../src/intake/make-image.ts';
import { decodePicture } from '../../../src/intake/node/decode-picture.ts';
import { onPaper } from '../../../src/intake/on-paper.ts';
import { decodePng } from '../../../src/intake/png.ts';
import { reduce } from '../../../src/intake/reduce.ts';
import { turn } from '../../../src/intake/turn.ts';
import type { Picture } from '../../../src/line/picture.ts';
import { chunk, makeApng, makePng, nameOf, pngKinds, signature } from './png-files.ts';

const bytesOf = (file: Uint8Array): ArrayBuffer => new Uint8Array(file).buffer;

describe('PNG, decoded here, against sharp (libvips) pixel by pixel', () => {
  it.each(pngKinds.map((kind) => [nameOf(kind), kind] as const))('%s', async (_, kind) => {
    const file = makePng(kind);
    const ours = decodePng(file);
    const theirs = await sharp(file, { ignoreIcc: true })
      .toColourspace('srgb')
      .ensureAlpha()
      .raw()
      .toBuffer();
    expect([ours.width, ours.height]).toEqual([23, 17]);
    const rgba = ours.channels === 4 ? ours.data : [...ours.data].flatMap((v) => [v, v, v, 255]);
    expect(Buffer.from(rgba).equals(theirs), firstDifference(rgba, theirs)).toBe(true);
  });

  it('takes the first picture of an APNG, and says so', async () => {
    const kind = { colour: 2, depth: 8, interlaced: false } as const;
    expect(decodePng(makeApng(kind))).toEqual({ ...decodePng(makePng(kind)), animated: true });
    expect((await decode(bytesOf(makeApng(kind)))).told).toEqual([
      'it is animated; its first frame was taken',
    ]);
  });

  it('takes a PNG whose pixels are whole though its end mark is missing, and says so', async () => {
    const whole = makePng({ colour: 2, depth: 8, interlaced: true });
    const cut = whole.subarray(0, -12);
    const { picture, told } = await decode(bytesOf(cut));
    expect(picture.data).toEqual(decodePng(whole).data);
    expect(told).toEqual(['its last few bytes are missing; the picture itself is whole']);
    expect((await decodePicture(cut)).data).toEqual((await decodePicture(whole)).data);
  });

  it('takes a TIFF in CMYK: paper white, ink dark, a red line red', async () => {
    // Without a profile CMYK has no one meaning in RGB: sharp's values are not compared one by one.
    const colours = [
      [255, 255, 255],
      [0, 0, 0],
      [200, 30, 30],
    ];
    const patches = Buffer.from(
      Array.from({ length: 48 * 16 }, (_, i) => colours[(i % 48) >> 4] ?? []).flat(),
    );
    const file = await sharp(patches, { raw: { width: 48, height: 16, channels: 3 } })
      .toColourspace('cmyk')
      .tiff({ compression: 'lzw' })
      .toBuffer();
    expect((await sharp(file).metadata()).space).toBe('cmyk');
    const { picture } = await decode(bytesOf(file));
    const [white = [], black = [], red = []] = [8, 24, 40].map((x) => [
      ...picture.data.subarray((8 * 48 + x) * 4, (8 * 48 + x) * 4 + 4),
    ]);
    expect(white).toEqual([255, 255, 255, 255]);
    expect(Math.max(...black.slice(0, 3))).toBeLessThan(70);
    expect((red[0] ?? 0) - Math.max(red[1] ?? 255, red[2] ?? 255)).toBeGreaterThan(80);
  });

  it.each<[string, Uint8Array, string]>([
    [
      'cut in the data',
      makePng({ colour: 2, depth: 8, interlaced: false }).subarray(0, 120),
      'it ends in the middle of the picture',
    ],
    [
      'without its end and the last of its data',
      makePng({ colour: 0, depth: 8, interlaced: false }).subarray(0, -14),
      'it ends in the middle of the picture',
    ],
    [
      'with a wrong byte',
      Uint8Array.from(makePng({ colour: 2, depth: 8, interlaced: false }), (v, i) => (i === 90 ? v ^ 1 : v)),
      'it is damaged and cannot be read',
    ],
    [
      'of 16384 × 16384 px',
      bomb(16_384, 16_384),
      'it is 16384 × 16384 px, more than the 67 million pixels a tablet can hold',
    ],
    ['of no pixels', bomb(0, 7), 'it is 0 × 7 px, so there is no picture in it'],
  ])('%s is refused, and why', async (_, file, why) => {
    await expect(decode(bytesOf(file))).rejects.toThrow(why);
    await expect(decodePicture(file)).rejects.toThrow(why);
  });
});

/** A small file that claims to be large. */
function bomb(width: number, height: number): Uint8Array {
  const header = new Uint8Array(13);
  new DataView(header.buffer).setUint32(0, width);
  new DataView(header.buffer).setUint32(4, height);
  header.set([8, 6], 8);
  return Buffer.concat([
    signature,
    chunk('IHDR', header),
    chunk('IDAT', Uint8Array.of(0x78, 0x9c, 3, 0, 0, 0, 0, 1)),
    chunk('IEND'),
  ]);
}

function firstDifference(ours: ArrayLike<number>, theirs: Uint8Array): string {
  const at = theirs.findIndex((value, i) => value !== ours[i]);
  return `byte ${at} (pixel ${Math.floor((at >> 2) % 23)}, ${Math.floor((at >> 2) / 23)}): ${ours[at]} instead of ${theirs[at]}`;
}

describe('on paper', () => {
  const pixel = (...rgba: number[]): Picture => ({
    width: 1,
    height: 1,
    channels: 4,
    data: Uint8Array.from(rgba),
  });

  it('is grey only when every pixel is, exactly', () => {
    expect(onPaper(pixel(90, 90, 90, 255))).toMatchObject({ channels: 1, data: Uint8Array.of(90) });
    expect(onPaper(pixel(90, 90, 91, 255)).channels).toBe(4);
    expect(onPaper(pixel(91, 90, 90, 255)).channels).toBe(4);
  });

  it('lays transparency on white (W3C Compositing, source-over, by hand)', () => {
    // 128/255 of black over white: 255 − 128 = 127.
    expect(onPaper(pixel(0, 0, 0, 128)).data[0]).toBe(127);
    expect(onPaper(pixel(255, 0, 0, 0))).toMatchObject({ channels: 1, data: Uint8Array.of(255) });
    expect([...onPaper(pixel(255, 0, 0, 51)).data]).toEqual([255, 204, 204, 255]);
  });
});

describe('reduced', () => {
  const grey = (width: number, height: number, value: (x: number, y: number) => number): Picture => ({
    width,
    height,
    channels: 1,
    data: Uint8Array.from({ length: width * height }, (_, i) => value(i % width, Math.floor(i / width))),
  });

  it('averages areas: four pixels to one, by hand', () => {
    const small = reduce(
      grey(4, 2, (x, y) => [10, 20, 100, 200, 30, 40, 60, 80][y * 4 + x] ?? 0),
      2,
    );
    expect([small.width, small.height, ...small.data]).toEqual([2, 1, 25, 110]);
  });

  it('averages each colour of a block on its own, by hand', () => {
    const colour = (pixels: readonly (readonly number[])[]): Picture => ({
      width: 4,
      height: 2,
      channels: 4,
      data: Uint8Array.from(pixels.flat()),
    });
    const [paper, red, dark] = [
      [255, 255, 255, 255],
      [255, 0, 0, 255],
      [10, 20, 30, 255],
    ] as const;
    // (255·3 + 10) / 4 = 193.75, (255·2 + 0 + 20) / 4 = 132.5, (255·2 + 0 + 30) / 4 = 135
    const small = reduce(colour([paper, red, paper, paper, dark, paper, paper, paper]), 2);
    expect([...small.data]).toEqual([194, 133, 135, 255, 255, 255, 255, 255]);
    // One third of the width is red, the rest paper: the way of uneven edges.
    const third = reduce(
      { width: 3, height: 1, channels: 4, data: Uint8Array.from([red, paper, paper].flat()) },
      2,
    );
    expect([...third.data]).toEqual([255, 85, 85, 255, 255, 255, 255, 255]);
  });

  it('averages blocks of two, three and four as reckoned plainly, grey and coloured', () => {
    for (const factor of [2, 3, 4])
      for (const channels of [1, 4] as const) {
        const [width, height] = [4 * factor, 3 * factor];
        const data = Uint8Array.from({ length: width * height * channels }, (_, i) =>
          channels === 4 && i % 4 === 3 ? 255 : (i * 7919 + 13 * (i >> 3)) % 256,
        );
        const plain = Array.from({ length: 12 * channels }, (_, i) => {
          const [c, x, y] = [i % channels, Math.floor(i / channels) % 4, Math.floor(i / channels / 4)];
          let sum = 0;
          for (let n = 0; n < factor ** 2; n++) {
            const at = (y * factor + Math.floor(n / factor)) * width + x * factor + (n % factor);
            sum += data[at * channels + c] ?? 0;
          }
          return Math.round(sum / factor ** 2);
        });
        expect([...reduce({ width, height, channels, data }, 4).data]).toEqual(plain);
      }
  });

  it('shares a pixel between two where the edges do not meet: 3 to 2, by hand', () => {
    // (30 + 60 / 2) / 1.5 = 40, (60 / 2 + 90) / 1.5 = 80
    expect([
      ...reduce(
        grey(3, 1, (x) => [30, 60, 90][x] ?? 0),
        2,
      ).data,
    ]).toEqual([40, 80]);
  });

  it('keeps the darkness of a line of one pixel, wherever it lies', () => {
    for (let at = 0; at < 100; at++) {
      const line = grey(1000, 3, (x) => (x === at * 10 ? 0 : 255));
      const ink = [...reduce(line, 320).data].reduce((sum, value) => sum + 255 - value, 0);
      // One pixel in 1000 wide becomes 0.32 of a pixel; each of the values may be rounded by a half.
      expect(Math.abs(ink - 255 * 0.32)).toBeLessThanOrEqual(1.5);
    }
  });

  it('leaves small pictures alone, and paper white', () => {
    const small = grey(320, 10, () => 7);
    expect(reduce(small, 320)).toBe(small);
    expect(
      reduce(
        grey(4096, 2161, () => 255),
        2048,
      ).data.every((value) => value === 255),
    ).toBe(true);
  });

  it('is near sharp’s own box-like reduction for a soft picture', async () => {
    const soft = grey(901, 437, (x, y) => 128 + 100 * Math.sin(x / 60) * Math.cos(y / 45));
    const ours = reduce(soft, 300);
    const theirs = await sharp(soft.data, { raw: { width: 901, height: 437, channels: 1 } })
      .resize(ours.width, ours.height, { fit: 'fill', kernel: 'cubic' })
      .toColourspace('b-w')
      .raw()
      .toBuffer();
    const worst = Math.max(...ours.data.map((value, i) => Math.abs(value - (theirs[i] ?? 0))));
    expect(worst).toBeLessThanOrEqual(3);
  });

  it('makes thumb and flip sizes, and a digest of pixels rather than of bytes', async () => {
    const big = await sharp({ create: { width: 4096, height: 2160, channels: 3, background: '#fff' } })
      .composite([
        { input: { create: { width: 300, height: 5, channels: 3, background: '#30a' } }, left: 100, top: 99 },
      ])
      .png()
      .toBuffer();
    const again = await sharp(big).png({ compressionLevel: 1 }).toBuffer();
    const [one, two] = await Promise.all(
      [big, again].map(async (file) => makeImage(await decode(bytesOf(file)), bytesOf(file), true)),
    );
    expect([one?.flip.width, one?.flip.height, one?.flip.channels]).toEqual([2048, 1080, 4]);
    expect([one?.thumb.width, one?.thumb.height]).toEqual([320, 169]);
    expect(big.equals(again)).toBe(false);
    expect(one?.pixels).toBe(two?.pixels);
  });
});

describe('turned upright', () => {
  it.each([1, 2, 3, 4, 5, 6, 7, 8])('orientation %i as sharp turns it', async (orientation) => {
    const data = Uint8Array.from({ length: 3 * 2 * 4 }, (_, i) => i * 9);
    const jpeg = await sharp(data, { raw: { width: 3, height: 2, channels: 4 } })
      .png()
      .withMetadata({ orientation })
      .toBuffer();
    const theirs = await sharp(jpeg).autoOrient().ensureAlpha().raw().toBuffer({ resolveWithObject: true });
    const ours = turn({ width: 3, height: 2, channels: 4, data }, orientation);
    expect([ours.width, ours.height, ...ours.data]).toEqual([
      theirs.info.width,
      theirs.info.height,
      ...theirs.data,
    ]);
  });
});
