import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { asStored } from '../../../src/intake/as-stored.ts';
import { chunk, makeApng, makePng, pngKinds, signature } from './png-files.ts';

const stored = async (file: Uint8Array): Promise<Buffer> =>
  Buffer.from(await asStored(new Uint8Array(file).buffer).arrayBuffer());
const pixels = (file: Uint8Array): Promise<Buffer> => sharp(file, { ignoreIcc: true }).raw().toBuffer();

const noise = sharp(
  Buffer.from(Array.from({ length: 41 * 29 * 3 }, (_, i) => (i * 97 + ((i * i) % 251)) % 256)),
  { raw: { width: 41, height: 29, channels: 3 } },
);

describe('a picture as it is stored', () => {
  it('loses its profile and nothing of its picture, whatever kind it is (sharp reads both)', async () => {
    const kinds = {
      png: noise.clone().withIccProfile('p3').png(),
      jpeg: noise.clone().withIccProfile('p3').jpeg({ progressive: true }),
      webp: noise.clone().withIccProfile('p3').webp(),
      'webp, lossless, with alpha': noise
        .clone()
        .ensureAlpha(0.4)
        .withIccProfile('p3')
        .webp({ lossless: true }),
    };
    for (const [kind, made] of Object.entries(kinds)) {
      const file = await made.toBuffer();
      const bare = await stored(file);
      expect((await sharp(file).metadata()).icc, kind).toBeDefined();
      expect((await sharp(bare).metadata()).icc, kind).toBeUndefined();
      expect((await pixels(bare)).equals(await pixels(file)), kind).toBe(true);
    }
  });

  it('keeps the way a JPEG is turned, and a profile of several segments goes whole', async () => {
    const turned = await noise.clone().withMetadata({ orientation: 6 }).jpeg().toBuffer();
    // ICC.1 annex B.4: a large profile is cut into numbered segments.
    const segment = (n: number): Buffer => {
      const body = Buffer.concat([Buffer.from(`ICC_PROFILE\0`), Buffer.from([n, 2]), Buffer.alloc(300, n)]);
      const head = Buffer.from([0xff, 0xe2, 0, 0]);
      head.writeUInt16BE(body.length + 2, 2);
      return Buffer.concat([head, body]);
    };
    const bare = await stored(turned);
    const file = Buffer.concat([turned.subarray(0, 2), segment(1), segment(2), turned.subarray(2)]);
    expect((await sharp(bare).metadata()).orientation).toBe(6);
    expect((await stored(file)).equals(bare)).toBe(true);
  });

  it('of PNG keeps only what makes the picture: no gamma, no turning, no further frame', async () => {
    const body = new Uint8Array([0, 1, 0x86, 0xa0]);
    for (const kind of pngKinds) {
      const plain = makePng(kind);
      const said = makePng(kind, 23, 17, [chunk('gAMA', body), chunk('eXIf', body), chunk('cICP', body)]);
      expect((await stored(said)).equals(plain)).toBe(true);
    }
    const kind = { colour: 2, depth: 8, interlaced: false } as const;
    expect((await stored(makeApng(kind))).equals(makePng(kind))).toBe(true);
  });

  it('hands what is cut short, or no picture, to the decoder as it is', async () => {
    const jpeg = await noise.clone().withIccProfile('p3').jpeg().toBuffer();
    for (const file of [
      jpeg.subarray(0, 7),
      Buffer.from(signature),
      makePng({ colour: 2, depth: 8, interlaced: false }).subarray(0, 50),
      Buffer.from('no picture'),
      Buffer.alloc(0),
    ])
      expect((await stored(file)).equals(file)).toBe(true);
    // In the middle of a profile: what is left is no picture to any decoder.
    expect((await stored(jpeg.subarray(0, 60))).length).toBeLessThanOrEqual(60);
  });
});
