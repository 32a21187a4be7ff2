/**
 * Whatever a file says of its colours, every engine shows the numbers that it holds: at flip size, at full size and to
 * the measures. Expected pixels are those of `sharp` (libvips) with profiles and gamma left alone.
 */
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { IntakeHarness } from '../support/intake-harness.ts';
import { type ModuleServer, moduleServer } from '../support/module-page.ts';
import { chunk, makePng } from '../unit/intake/png-files.ts';
import { engines } from './all.ts';
import type { Engine } from './engine.ts';

type InPage = typeof globalThis & { intake: IntakeHarness };

let modules: ModuleServer;
beforeAll(async () => {
  modules = await moduleServer();
});
afterAll(() => modules?.close());

/** gAMA of 1.0 (W3C PNG 3rd edition, 11.3.2.2): who applies it shows grey 128 as 188 or so. */
const gamma = (hundredThousandths: number): Uint8Array => {
  const body = new Uint8Array(4);
  new DataView(body.buffer).setUint32(0, hundredThousandths);
  return chunk('gAMA', body);
};

/** Greys and colours in soft steps: hard edges are not the same in every JPEG decoder. */
const soft = Buffer.from(
  Array.from({ length: 60 * 44 * 3 }, (_, i) => {
    const [x, y, c] = [Math.floor(i / 3) % 60, Math.floor(i / 180), i % 3];
    return Math.round(128 + 90 * Math.sin(x / (9 + c)) * Math.cos(y / (7 + c)));
  }),
);
const picture = () => sharp(soft, { raw: { width: 60, height: 44, channels: 3 } });

/** A picture with a profile far from sRGB; `keepIccProfile` would convert, `withIccProfile` says only what it is. */
const files: readonly (readonly [
  name: string,
  file: () => Promise<Uint8Array> | Uint8Array,
  tolerance: number,
])[] = [
  [
    'a PNG with gAMA 1.0',
    () => makePng({ colour: 0, depth: 8, interlaced: false }, 23, 17, [gamma(100_000)]),
    0,
  ],
  [
    'a PNG with a gamma of 2.2 in colour',
    () => makePng({ colour: 2, depth: 8, interlaced: true }, 23, 17, [gamma(45_455)]),
    0,
  ],
  ['a PNG with a wide profile', () => picture().withIccProfile('p3').png().toBuffer(), 0],
  [
    'a JPEG with a wide profile',
    () => picture().withIccProfile('p3').jpeg({ quality: 95, chromaSubsampling: '4:4:4' }).toBuffer(),
    3,
  ],
  [
    'a progressive JPEG with a profile, turned',
    () =>
      picture()
        .withIccProfile('p3')
        .withMetadata({ orientation: 6 })
        .withIccProfile('p3')
        .jpeg({ quality: 95, progressive: true, chromaSubsampling: '4:4:4' })
        .toBuffer(),
    3,
  ],
  ['a WebP with a wide profile', () => picture().withIccProfile('p3').webp({ lossless: true }).toBuffer(), 0],
];

async function expected(file: Uint8Array): Promise<{ width: number; height: number; rgb: Uint8Array }> {
  const { data, info } = await sharp(file, { ignoreIcc: true })
    .autoOrient()
    .removeAlpha()
    .toColourspace('srgb')
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, rgb: data };
}

const worst = (theirs: Uint8Array, base64: string, channels: number): number => {
  const ours = Buffer.from(base64, 'base64');
  expect(ours.length / channels).toBe(theirs.length / 3);
  return Math.max(
    ...Array.from(theirs, (value, i) =>
      Math.abs(value - (ours[channels === 1 ? Math.floor(i / 3) : Math.floor(i / 3) * 4 + (i % 3)] ?? 0)),
    ),
  );
};

describe.each(engines)('$name', ({ launch }) => {
  let engine: Engine;
  beforeAll(async () => {
    engine = await launch();
    await engine.goto(modules.url);
    await engine.evaluate(
      () =>
        new Promise<boolean>((done, failed) => {
          const script = document.createElement('script');
          Object.assign(script, { type: 'module', src: '/tests/support/intake-harness.ts', onerror: failed });
          script.addEventListener('load', () => done(true));
          document.head.append(script);
        }),
    );
  });
  afterAll(() => engine?.end());

  test.each(files)('%s: flip, full and measured pixels', async (_, make, tolerance) => {
    const file = await make();
    const base64 = Buffer.from(file).toString('base64');
    const theirs = await expected(file);
    const [flip] = await engine.evaluate((text) => (globalThis as InPage).intake.decodeAll([text]), base64);
    if (!flip || flip.odd !== undefined) throw new Error(flip?.odd);
    const full = await engine.evaluate(
      (text) => (globalThis as InPage).intake.shownAndMeasured(text),
      base64,
    );
    expect([flip.width, flip.height, full.width, full.height]).toEqual([
      theirs.width,
      theirs.height,
      theirs.width,
      theirs.height,
    ]);
    const off = {
      flip: worst(theirs.rgb, flip.flip, flip.channels),
      full: worst(theirs.rgb, full.shown, 4),
      measured: worst(theirs.rgb, full.measured, full.channels),
    };
    for (const [size, by] of Object.entries(off))
      expect(by, `${size}: ${JSON.stringify(off)}`).toBeLessThanOrEqual(tolerance);
  });
});
