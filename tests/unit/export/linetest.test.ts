import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { apngWriter } from '../../../src/export/linetest/apng.ts';
import { composeFrame, greyWherePossible } from '../../../src/export/linetest/compose.ts';
import { FlashError, type LineTestSource, lineTestFrames } from '../../../src/export/linetest/frames.ts';
import { type LineTestWish, planLineTest } from '../../../src/export/linetest/plan.ts';
import { lengthOf, rateOf } from '../../../src/export/linetest/rate.ts';
import { i420Of } from '../../../src/export/linetest/yuv.ts';
import { nodePainter } from '../../../src/export/node/node-painter.ts';
import { reduce } from '../../../src/intake/reduce.ts';
import type { Picture } from '../../../src/line/picture.ts';
import type { ImageRef, Shot } from '../../../src/shot/model.ts';
import { readApng } from '../../support/read-apng.ts';

const grey = (width: number, height: number, value: (x: number, y: number) => number): Picture => ({
  width,
  height,
  channels: 1,
  data: Uint8Array.from({ length: width * height }, (_, i) => value(i % width, Math.floor(i / width))),
});
const coloured = ({ width, height, data }: Picture, at: number, rgb: readonly number[]): Picture => ({
  width,
  height,
  channels: 4,
  data: Uint8Array.from({ length: 4 * width * height }, (_, i) =>
    i % 4 === 3 ? 255 : i >> 2 === at ? (rgb[i % 4] ?? 0) : (data[i >> 2] ?? 0),
  ),
});
const rgbaOf = ({ channels, data }: Picture): number[] =>
  channels === 4 ? [...data] : [...data].flatMap((value) => [value, value, value, 255]);
const whole = (parts: readonly Uint8Array[]): Uint8Array => new Uint8Array(Buffer.concat(parts));

describe('rates as fractions', () => {
  // SMPTE ST 12-1: the broadcast rates are n × 1000/1001.
  test.each([
    [24, 24, 1],
    [25, 25, 1],
    [12, 12, 1],
    [30000 / 1001, 30000, 1001],
    [29.97, 30000, 1001],
    [23.976, 24000, 1001],
    [59.94, 60000, 1001],
    [12.5, 25, 2],
    [16 + 2 / 3, 50, 3],
  ])('%f', (fps, frames, seconds) => expect(rateOf(fps)).toEqual({ frames, seconds }));

  test('1001 s of NTSC are 30000 frames', () => expect(lengthOf(30_000, rateOf(29.97))).toBe(1001));
});

describe('an animated PNG, read back by upng-js and its default image by sharp', () => {
  const first = grey(7, 5, (x, y) => 255 - 13 * x - 7 * y);
  const second = grey(7, 5, (x, y) => (x === 4 && y > 1 ? 3 : 255 - 13 * x - 7 * y));
  const third = coloured(second, 9, [200, 20, 60]);

  test('every frame is seen as it was given, for as long as it was said', async () => {
    const writer = apngWriter(first, rateOf(24));
    writer.add(first, 2);
    writer.add(second, 1);
    writer.add(second, 2);
    writer.add(third, 12);
    const file = whole(writer.finish());
    const read = readApng(file);
    expect([read.width, read.height, read.loops]).toEqual([7, 5, 0]);
    expect(read.rgba.map((bytes) => [...bytes])).toEqual([first, second, third].map(rgbaOf));
    expect(read.delaysMs).toEqual([83, 125, 500]);
    // The default image, for readers without animation.
    const { data, info } = await sharp(file).ensureAlpha().raw().toBuffer({ resolveWithObject: true });
    expect([info.width, info.height]).toEqual([7, 5]);
    expect([...data]).toEqual(rgbaOf(first));
    const { space, hasAlpha, icc } = await sharp(file).metadata();
    expect([space, hasAlpha, icc]).toEqual(['srgb', false, undefined]);
  });

  test('grey alone stays one channel; one frame alone is a picture', async () => {
    const writer = apngWriter(first, rateOf(24));
    writer.add(first, 5);
    const file = whole(writer.finish());
    expect(readApng(file).delaysMs).toEqual([208]);
    expect((await sharp(file).metadata()).channels).toBe(1);
  });

  test('a hold that no delay can tell goes on, and draws nothing', () => {
    const writer = apngWriter(first, rateOf(29.97));
    writer.add(second, 1);
    writer.add(third, 200);
    const read = readApng(whole(writer.finish()));
    // 201 frames of 1001/30000 s are 6706.7 ms; the reader rounds each of five delays.
    expect(read.lengthMs).toBeGreaterThan(6704);
    expect(read.lengthMs).toBeLessThan(6710);
    for (const bytes of read.rgba.slice(1)) expect([...bytes]).toEqual(rgbaOf(third));
  });

  test('a frame of another size is refused, with both sizes', () => {
    const writer = apngWriter(first, rateOf(24));
    expect(() =>
      writer.add(
        grey(6, 5, () => 0),
        1,
      ),
    ).toThrow(/6×5 px does not fit 7×5/);
  });
});

describe('a frame put together', () => {
  test('ink darkens ink (W3C Compositing, multiply: Cs × Cb), faded ink by its share, off the frame is cut', () => {
    const one = grey(3, 2, (x) => [128, 0, 255][x] ?? 0);
    const frame = composeFrame(
      [4, 2],
      [
        { picture: one, x: 0, y: 0, opacity: 1 },
        { picture: one, x: 0, y: 0, opacity: 1 },
        { picture: grey(2, 2, () => 55), x: 3, y: 1, opacity: 0.5 },
      ],
      [],
    );
    // 128 × 128 / 255 = 64.25; half of 200 less light is 155.
    expect(frame).toEqual({
      width: 4,
      height: 2,
      channels: 1,
      data: Uint8Array.of(64, 0, 255, 255, 64, 0, 255, 155),
    });
  });

  test('what is burnt in lies over it (source-over), and grey stays grey', () => {
    const half: Picture = { width: 1, height: 1, channels: 4, data: Uint8Array.of(0, 0, 255, 128) };
    const base = grey(2, 1, () => 100);
    const frame = composeFrame(
      [2, 1],
      [{ picture: base, x: 0, y: 0, opacity: 1 }],
      [{ picture: half, x: 1, y: 0 }],
    );
    // 100 × 127/255 = 49.8; 255 × 128/255 + 49.8 = 177.8
    expect([...frame.data]).toEqual([100, 100, 100, 255, 50, 50, 178, 255]);
    expect(greyWherePossible(frame).channels).toBe(4);
    const black: Picture = { ...half, data: Uint8Array.of(0, 0, 0, 255) };
    const burnt = composeFrame(
      [2, 1],
      [{ picture: base, x: 0, y: 0, opacity: 1 }],
      [{ picture: black, x: 0, y: 0 }],
    );
    expect(greyWherePossible(burnt)).toEqual(grey(2, 1, (x) => (x === 0 ? 0 : 100)));
  });
});

test('a movie’s frame is Y′CbCr of BT.709, narrow range, as its 100 % colour bars are given', () => {
  // Rec. ITU-R BT.709-6: white 235 128 128, black 16 128 128; red 63 102 240, green 173 42 26, blue 32 240 118
  // (the code values of 100/0/100/0 bars, from memory of SMPTE RP 219 and its handbooks).
  const bars: readonly [string, readonly number[], readonly number[]][] = [
    ['white', [255, 255, 255], [235, 128, 128]],
    ['black', [0, 0, 0], [16, 128, 128]],
    ['red', [255, 0, 0], [63, 102, 240]],
    ['green', [0, 255, 0], [173, 42, 26]],
    ['blue', [0, 0, 255], [32, 240, 118]],
  ];
  for (const [name, rgb, [y, cb, cr]] of bars) {
    const data = Uint8Array.from({ length: 4 * 8 }, (_, i) => (i % 4 === 3 ? 255 : (rgb[i % 4] ?? 0)));
    const planes = i420Of({ width: 4, height: 2, channels: 4, data });
    expect([...planes], name).toEqual([...Array.from({ length: 8 }, () => y), cb, cb, cr, cr]);
  }
  expect([...i420Of(grey(2, 2, (x) => 255 * x))]).toEqual([16, 235, 16, 235, 128, 128]);
});

const image = (sha256: string, width = 64, height = 36): ImageRef => ({
  sha256,
  width,
  height,
  mediaType: 'image/png',
  byteLength: 9,
});
const take = (of: ImageRef) => [{ number: 1, image: of }];
/** 1 1 2 – 1 3 3 3 at 24: 8 frames; 3 has no clean-up, and a smaller rough. */
const shot: Shot = {
  id: 's',
  title: 'Kite',
  fps: 24,
  sizePx: [64, 36],
  levels: [
    {
      name: '',
      drawings: [
        { label: '1', role: 'key', rough: image('r1'), takes: take(image('c1')) },
        { label: '2', rough: image('r2'), takes: take(image('c2')) },
        { label: '3', rough: image('r3', 40, 20), takes: [] },
      ],
      exposures: [
        { drawing: '1', frame: 1, length: 2 },
        { drawing: '2', frame: 3, length: 1 },
        { drawing: '1', frame: 5, length: 1 },
        { drawing: '3', frame: 6, length: 3 },
      ],
    },
  ],
};
const wish: LineTestWish = {
  way: 'clean',
  underlay: 0.06,
  numbers: false,
  frameNumbers: false,
  notes: [],
  even: false,
};
const paints: Record<string, number> = { c1: 250, c2: 0, r1: 200, r2: 190, r3: 100 };
const source: LineTestSource = {
  painter: nodePainter(async () => undefined),
  reduce,
  pictureOf: async ({ sha256, width, height }, longEdgePx) =>
    reduce(
      grey(width, height, () => paints[sha256] ?? 255),
      longEdgePx,
    ),
};
async function framesOf(of: Shot, more: Partial<LineTestWish> = {}, fps = of.fps) {
  const plan = planLineTest(of, { ...wish, ...more });
  const frames: { picture: Picture; frames: number }[] = [];
  for await (const frame of lineTestFrames(plan, rateOf(fps), source)) frames.push(frame);
  return { plan, frames };
}

describe('the frames of a shot', () => {
  test('run as the sheet has them, with white where it shows nothing and the rough where no clean-up is', async () => {
    // At a rate at which these squares of black and white do not flash.
    const { plan, frames } = await framesOf(shot, {}, 6);
    expect(frames.map(({ frames }) => frames)).toEqual([2, 1, 1, 1, 3]);
    expect(frames.reduce((sum, { frames }) => sum + frames, 0)).toBe(8);
    expect(frames.map(({ picture }) => picture.data[0])).toEqual([250, 0, 255, 250, 255]);
    // In the middle of the paper: 40 × 20 at (12, 8); 255 − 155 × 0.35 = 200.75.
    const { data } = frames[4]?.picture ?? grey(1, 1, () => 0);
    expect([data[8 * 64 + 12], data[7 * 64 + 12], data[8 * 64 + 11], data[27 * 64 + 51]]).toEqual([
      201, 255, 255, 201,
    ]);
    expect(plan.unclean).toEqual(['3']);
  });

  test('smaller, side by side, beneath, and even for a movie', async () => {
    const beside = await framesOf(shot, { way: 'beside', longEdgePx: 33, even: true }, 6);
    // 33 × 18.6 px twice: 66 × 19, and a row of white to make it even.
    expect([beside.plan.width, beside.plan.height]).toEqual([66, 20]);
    const [one] = beside.frames;
    const at = (x: number, y: number): number | undefined => one?.picture.data[y * 66 + x];
    expect([at(0, 0), at(32, 5), at(33, 5), at(65, 18), at(65, 19)]).toEqual([200, 200, 250, 250, 255]);
    const under = await framesOf(shot, { way: 'underlay', underlay: 0.5 }, 6);
    // Half of the rough's ink (228) under the clean's 250.
    expect(under.frames[0]?.picture.data[0]).toBe(Math.round((Math.round(255 - 55 / 2) * 250) / 255));
  });

  test('numbers are burnt in at the corners, a frame number makes a picture of every frame', async () => {
    const { frames, plan } = await framesOf(shot, { numbers: true, frameNumbers: true }, 6);
    expect(frames.map(({ frames }) => frames)).toEqual(Array.from({ length: 8 }, () => 1));
    const dark = (picture: Picture | undefined, fromX: number, toX: number): number => {
      let count = 0;
      for (let y = 0; y < plan.height; y++)
        for (let x = fromX; x < toX; x++) if ((picture?.data[y * plan.width + x] ?? 255) < 90) count++;
      return count;
    };
    // Frame 1 shows drawing 1, frame 4 no drawing: its lower left corner stays white.
    expect(dark(frames[0]?.picture, 0, 24)).toBeGreaterThan(10);
    expect(dark(frames[3]?.picture, 0, 12)).toBe(0);
    expect(dark(frames[3]?.picture, 24, 64)).toBeGreaterThan(10);
  });

  test('a sheet that shows nothing is refused with a sentence', () => {
    const [level] = shot.levels;
    const empty = { ...shot, levels: level ? [{ ...level, exposures: [] }] : [] };
    expect(() => planLineTest(empty, wish)).toThrow(/exposure sheet/);
  });

  test('what would flash is refused, with the rate at which it does not', async () => {
    // Black and white on ones. WCAG 2.2, 2.3.1 allows three flashes, six transitions, a second: seven must take one or more.
    const [level] = shot.levels;
    const exposures = Array.from({ length: 12 }, (_, n) => ({
      drawing: n % 2 === 0 ? '1' : '2',
      frame: n + 1,
      length: 1,
    }));
    const flicker = { ...shot, levels: level ? [{ ...level, exposures }] : [] };
    const refused = await framesOf(flicker).catch((error: unknown) => error);
    expect(refused).toBeInstanceOf(FlashError);
    expect((refused as FlashError).safeHz).toBe(6);
    expect((await framesOf(flicker, {}, 6)).frames).toHaveLength(12);
    // Of the same pictures, numbered: no less.
    const numbered = await framesOf(flicker, { frameNumbers: true }).catch((error: unknown) => error);
    expect(numbered).toBeInstanceOf(FlashError);
  });
});
