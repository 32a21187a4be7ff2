/** Decoding in the page's workers against `sharp` (libvips), for every format that is taken. */

import type { Browser } from 'playwright';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { launch, until } from '../support/browser.ts';
import type { IntakeHarness } from '../support/intake-harness.ts';
import { type ModulePage, modulePage } from '../support/module-page.ts';
import { makeApng, makePng, nameOf, pngKinds } from '../unit/intake/png-files.ts';

type InPage = typeof globalThis & { intake: IntakeHarness };
type Decoded = Awaited<ReturnType<IntakeHarness['decodeAll']>>[number];

let browser: Browser;
let tab: ModulePage;
beforeAll(async () => {
  browser = await launch();
  tab = await modulePage(browser);
  await tab.page.addScriptTag({ type: 'module', url: '/tests/support/intake-harness.ts' });
  await until(tab.page, () => 'intake' in globalThis);
});
afterAll(async () => {
  await tab?.close();
  await browser?.close();
});

const decodeAll = (files: readonly Uint8Array[]): Promise<Decoded[]> =>
  tab.page.evaluate(
    (list) => (globalThis as InPage).intake.decodeAll(list),
    files.map((file) => Buffer.from(file).toString('base64')),
  );

/** What sharp makes of a file, on white paper by hand (W3C Compositing, source-over), as R, G, B. */
async function onWhite(file: Uint8Array): Promise<{ width: number; height: number; rgb: number[] }> {
  const { data, info } = await sharp(file, { ignoreIcc: true })
    .autoOrient()
    .toColourspace('srgb')
    .ensureAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  const rgb: number[] = [];
  for (let i = 0; i < data.length; i += 4) {
    const alpha = data[i + 3] ?? 0;
    for (let c = 0; c < 3; c++)
      rgb.push(Math.round(((data[i + c] ?? 0) * alpha + 255 * (255 - alpha)) / 255));
  }
  return { width: info.width, height: info.height, rgb };
}

/** Largest difference of any value, after sizes were found equal. */
async function worst(file: Uint8Array, decoded: Decoded): Promise<number> {
  if (decoded.odd !== undefined) throw new Error(decoded.odd);
  const theirs = await onWhite(file);
  expect([decoded.width, decoded.height]).toEqual([theirs.width, theirs.height]);
  const ours = Buffer.from(decoded.flip, 'base64');
  const { channels } = decoded;
  expect(ours.length).toBe(theirs.width * theirs.height * channels);
  return Math.max(
    ...theirs.rgb.map((value, i) =>
      Math.abs(value - (ours[channels === 1 ? Math.floor(i / 3) : Math.floor(i / 3) * 4 + (i % 3)] ?? 0)),
    ),
  );
}

/** Soft colours, since hard edges blur differently in every JPEG decoder. */
function soft(width: number, height: number, channels: 3 | 4): Buffer {
  return Buffer.from(
    Array.from({ length: width * height * channels }, (_, i) => {
      const [x, y, c] = [Math.floor(i / channels) % width, Math.floor(i / channels / width), i % channels];
      return c === 3 ? 40 + x * 3 : Math.round(128 + 90 * Math.sin(x / (9 + c)) * Math.cos(y / (7 + c)));
    }),
  );
}
const raw = (channels: 3 | 4 = 3) =>
  sharp(soft(60, 44, channels), { raw: { width: 60, height: 44, channels } });

describe('PNG', () => {
  it('of every colour type, depth and interlace has sharp’s pixels exactly', async () => {
    const files = pngKinds.map((kind) => makePng(kind));
    const decoded = await decodeAll(files);
    for (const [i, kind] of pngKinds.entries())
      expect(await worst(files[i] as Uint8Array, decoded[i] as Decoded), nameOf(kind)).toBe(0);
  });

  it('that is animated gives its first frame, and says so', async () => {
    const file = makeApng({ colour: 6, depth: 8, interlaced: false });
    const [decoded] = await decodeAll([file]);
    expect(await worst(file, decoded as Decoded)).toBe(0);
    expect(decoded).toMatchObject({
      told: ['it is animated; its first frame was taken'],
      mediaType: 'image/png',
    });
  });
});

describe('JPEG', () => {
  it('stands upright for each EXIF orientation', async () => {
    const files = await Promise.all(
      [1, 2, 3, 4, 5, 6, 7, 8].map((orientation) =>
        raw().jpeg({ quality: 95, chromaSubsampling: '4:4:4' }).withMetadata({ orientation }).toBuffer(),
      ),
    );
    const decoded = await decodeAll(files);
    // Two decoders may round each of three transforms differently.
    for (const [i, file] of files.entries())
      expect(await worst(file, decoded[i] as Decoded), `orientation ${i + 1}`).toBeLessThanOrEqual(3);
  });

  it('that is grey or progressive is taken; grey in one channel', async () => {
    const files = [
      await raw().greyscale().jpeg({ quality: 95 }).toBuffer(),
      await raw().jpeg({ quality: 95, progressive: true, chromaSubsampling: '4:4:4' }).toBuffer(),
    ];
    const decoded = await decodeAll(files);
    for (const [i, file] of files.entries())
      expect(await worst(file, decoded[i] as Decoded)).toBeLessThanOrEqual(3);
    expect(decoded[0]).toMatchObject({ channels: 1 });
  });

  it('in CMYK keeps paper white, ink dark and a red line red', async () => {
    // Values are not compared with sharp: without a colour profile CMYK has no one meaning in RGB.
    const patches = Buffer.from(
      Array.from(
        { length: 48 * 16 },
        (_, i) =>
          [
            [255, 255, 255],
            [0, 0, 0],
            [200, 30, 30],
          ][Math.floor((i % 48) / 16)] ?? [],
      ).flat(),
    );
    const file = await sharp(patches, { raw: { width: 48, height: 16, channels: 3 } })
      .toColourspace('cmyk')
      .jpeg({ quality: 100 })
      .toBuffer();
    expect((await sharp(file).metadata()).space).toBe('cmyk');
    const [decoded] = await decodeAll([file]);
    if (!decoded || decoded.odd !== undefined) throw new Error('not taken');
    const at = (x: number) => [
      ...Buffer.from(decoded.flip, 'base64').subarray((8 * 48 + x) * 4, (8 * 48 + x) * 4 + 3),
    ];
    const [white = [], black = [], red = []] = [8, 24, 40].map(at);
    expect(Math.min(...white)).toBeGreaterThan(245);
    expect(Math.max(...black)).toBeLessThan(70);
    expect((red[0] ?? 0) - Math.max(red[1] ?? 255, red[2] ?? 255)).toBeGreaterThan(80);
  });
});

describe('WebP', () => {
  it('without loss has sharp’s pixels; lossy and transparent ones come near', async () => {
    const files = [
      await raw().webp({ lossless: true }).toBuffer(),
      await raw().webp({ quality: 90 }).toBuffer(),
      await raw(4).webp({ lossless: true }).toBuffer(),
    ];
    const decoded = await decodeAll(files);
    expect(await worst(files[0] as Buffer, decoded[0] as Decoded)).toBe(0);
    // libwebp may or may not smooth colour when it scales it up.
    expect(await worst(files[1] as Buffer, decoded[1] as Decoded)).toBeLessThanOrEqual(8);
    expect(await worst(files[2] as Buffer, decoded[2] as Decoded)).toBeLessThanOrEqual(2);
  });

  it('that is animated gives its first frame, and says so', async () => {
    const frames = Buffer.concat([soft(60, 44, 3), Buffer.alloc(60 * 44 * 3, 9)]);
    const file = await sharp(frames, { raw: { width: 60, height: 88, channels: 3, pageHeight: 44 } })
      .webp({ lossless: true, delay: [50, 50] })
      .toBuffer();
    const [decoded] = await decodeAll([file]);
    expect(decoded).toMatchObject({ told: ['it is animated; its first frame was taken'], height: 44 });
    expect(await worst(file, decoded as Decoded)).toBe(0);
  });
});

describe('TIFF', () => {
  it.each<[string, () => Promise<Buffer>]>([
    ['plain', () => raw().tiff({ compression: 'none' }).toBuffer()],
    ['LZW with predictor', () => raw().tiff({ compression: 'lzw', predictor: 'horizontal' }).toBuffer()],
    ['deflate', () => raw().tiff({ compression: 'deflate' }).toBuffer()],
    ['grey', () => raw().greyscale().toColourspace('b-w').tiff({ compression: 'lzw' }).toBuffer()],
    [
      'grey with transparency',
      () => raw(4).greyscale().toColourspace('b-w').tiff({ compression: 'none' }).toBuffer(),
    ],
    [
      'one bit',
      () =>
        raw()
          .greyscale()
          .threshold(128)
          .toColourspace('b-w')
          .tiff({ compression: 'none', bitdepth: 1 })
          .toBuffer(),
    ],
    [
      'fax group 4',
      () =>
        raw()
          .greyscale()
          .threshold(128)
          .toColourspace('b-w')
          .tiff({ compression: 'ccittfax4', bitdepth: 1 })
          .toBuffer(),
    ],
    ['transparent', () => raw(4).tiff({ compression: 'lzw' }).toBuffer()],
    ['16 bit', () => raw().toColourspace('rgb16').tiff({ compression: 'none' }).toBuffer()],
    [
      'tiled',
      () => raw().tiff({ compression: 'deflate', tile: true, tileWidth: 32, tileHeight: 32 }).toBuffer(),
    ],
    ['turned', () => raw().withMetadata({ orientation: 6 }).tiff({ compression: 'none' }).toBuffer()],
  ])('%s has sharp’s pixels exactly', async (_, make) => {
    const file = await make();
    const [decoded] = await decodeAll([file]);
    expect(await worst(file, decoded as Decoded)).toBe(0);
  });
});

describe('what cannot be decoded says why', () => {
  it('cut short, not a picture, too large, leading back into itself', async () => {
    const jpeg = await raw().jpeg().toBuffer();
    const webp = await raw().webp().toBuffer();
    const tiff = await raw().tiff({ compression: 'none' }).toBuffer();
    const png = makePng({ colour: 2, depth: 8, interlaced: false });
    // The directory's own place stands where the next one should.
    const circle = Buffer.from(tiff);
    const directory = circle.readUInt32LE(4);
    circle.writeUInt32LE(directory, directory + 2 + circle.readUInt16LE(directory) * 12);
    const large = Buffer.from(jpeg);
    const frame = large.indexOf(Buffer.from([0xff, 0xc0]));
    large.writeUInt16BE(65_000, frame + 5);
    large.writeUInt16BE(65_000, frame + 7);
    const decoded = await decodeAll([
      jpeg.subarray(0, jpeg.length - 300),
      webp.subarray(0, webp.length - 20),
      tiff.subarray(0, 3000),
      png.subarray(0, 100),
      Buffer.from('not at all'),
      circle,
      large,
    ]);
    const cut = 'it ends in the middle of the picture. Copy or export it again.';
    expect(decoded.map(({ odd }) => odd)).toEqual([
      cut,
      cut,
      cut,
      cut,
      'it is no picture this app knows. Export it as PNG.',
      'it is damaged and cannot be read. Copy or export it again.',
      'it is 65000 × 65000 px, more than the 67 million pixels a tablet can hold. Export it at a smaller size.',
    ]);
  });
});
