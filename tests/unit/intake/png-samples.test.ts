/** PNG at its own depth and channels, read and written again, against sharp (libvips). */
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { pngSamples } from '../../../src/intake/png-samples.ts';
import { writePng } from '../../../src/intake/png-write.ts';
import { chunk, makePng, nameOf, pngKinds } from './png-files.ts';

const pixels = (file: Uint8Array): Promise<Buffer> =>
  sharp(file, { ignoreIcc: true }).toColourspace('rgb16').ensureAlpha().raw({ depth: 'ushort' }).toBuffer();

describe('every colour type and depth comes back as it was', () => {
  it.each(pngKinds.map((kind) => [nameOf(kind), kind] as const))('%s', async (_, kind) => {
    const file = makePng(kind);
    const written = await writePng(pngSamples(file));
    expect((await pixels(written)).equals(await pixels(file))).toBe(true);
    const [was, is] = [await sharp(file).metadata(), await sharp(written).metadata()];
    expect([is.width, is.height]).toEqual([was.width, was.height]);
    // Indexed colour comes back as true colour, and a clear colour as an alpha sample.
    if (kind.colour === 3 || kind.transparency) return;
    expect([is.depth, is.channels, is.bitsPerSample]).toEqual([was.depth, was.channels, was.bitsPerSample]);
  });
});

it('grey of one bit stays one bit while every pixel fits it, and becomes eight where one does not', async () => {
  const samples = pngSamples(makePng({ colour: 0, depth: 1, interlaced: false }));
  // IHDR's bit depth stands at byte 24 (11.2.1).
  expect((await writePng(samples))[24]).toBe(1);
  samples.data[5] = 100;
  const soft = await writePng(samples);
  expect(soft[24]).toBe(8);
  expect((await sharp(soft).extractChannel(0).raw().toBuffer())[5]).toBe(100);
});

it('what says how the numbers are shown goes along; what the file says of itself does not', async () => {
  const gamma = chunk('gAMA', Uint8Array.of(0, 0, 0xb1, 0x8f));
  const size = chunk('pHYs', Uint8Array.of(0, 0, 0x1d, 0x89, 0, 0, 0x1d, 0x89, 1));
  const words = chunk('tEXt', Buffer.from('Software\0an editor', 'latin1'));
  const file = makePng({ colour: 2, depth: 8, interlaced: false }, 23, 17, [gamma, words, size]);
  const written = Buffer.from(await writePng(pngSamples(file)));
  expect(written.indexOf(gamma)).toBeGreaterThan(0);
  expect(written.indexOf(size)).toBeGreaterThan(written.indexOf(gamma));
  expect(written.indexOf('tEXt')).toBe(-1);
});
