// Expected: TIFF 6.0, sections 2 and 13, by hand. Both files were found by fuzzing; the decoder never came back from them.
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { decodeTiff } from '../../../src/intake/tiff.ts';
import { isSoundLzw } from '../../../src/intake/tiff-lzw.ts';

/** Codes of nine bits, the highest first. */
function packed(...codes: number[]): Uint8Array {
  const bits = codes.map((code) => code.toString(2).padStart(9, '0')).join('');
  return Uint8Array.from(bits.match(/.{1,8}/g) ?? [], (byte) => Number.parseInt(byte.padEnd(8, '0'), 2));
}
const sound = (...codes: number[]): boolean => {
  const bytes = packed(...codes);
  return isSoundLzw(bytes, 0, bytes.length);
};

describe('LZW', () => {
  it('may say what its table holds by then, and the one that is just being made', () => {
    expect(sound(256, 7, 7, 258, 259, 257)).toBe(true);
    expect(sound(256, 7, 258, 257)).toBe(true);
  });
  it('may not run ahead of its table, nor begin with what a cleared table lacks', () => {
    expect(sound(256, 7, 7, 260, 257)).toBe(false);
    expect(sound(256, 300, 257)).toBe(false);
  });
  it('of another encoder (libtiff) is sound, through every width of its codes', async () => {
    const [width, height] = [200, 150];
    const data = Buffer.from(Array.from({ length: width * height }, (_, n) => (n * n * 31 + (n >> 3)) & 255));
    const file = await sharp(data, { raw: { width, height, channels: 1 } })
      .tiff({ compression: 'lzw', predictor: 'none' })
      .toBuffer();
    const { picture } = await decodeTiff(new Uint8Array(file).buffer);
    expect(Buffer.from(picture.data.filter((_, n) => n % 4 === 0)).equals(data)).toBe(true);
  });
});

describe('a damaged TIFF', () => {
  it('whose LZW leads round in a circle is refused', async () => {
    const file = Buffer.from(
      [
        'SUkqAJ4AAACAACBO+CQuDQeEQmFQuGQ2HQ+IQVFxOIxWLReMRmChaORqPR+QRdQyOQyWTSeCCyVSiWS2LreYS6ZTOFkKbTScTlmz',
        'ucz2ZFigT6hShx0Wh0eQm6lUimRp80+m1GLISqVKrQ8H1mr1uFpqvVywQcS2Ow2V3rC0Wawju2WqwMa4W6uFG6XKtty8Xarme+Xq',
        'rPLAX6pQEAAQAAABAwABAAAAJQAAAAEBAwABAAAAFwAAAAIBAwADAAAAdAEAAAMBAwABAAAABQAAAAYBAwABAAAAAgAAABEBBAAB',
        'AAAACAAAABIBAwABAAAAAQAAABUBAwABAAAAAwAAABYBAwABAAAAAAEAABcBBAABAAAAlQAAABoBBQABAAAAZAEAABsBBQABAAAA',
        'bAEAABwBAwABAAAAAQAAACgBAwABAAAAAgAAAD0BAwABAAAAAgAAAFMBAwADAAAAegEAAAAAAAAzM8sAAAAIADMzywAAAAgACAAI',
        'AAgAAQABAAEA',
      ].join(''),
      'base64',
    );
    await expect(decodeTiff(new Uint8Array(file).buffer)).rejects.toThrow('it is damaged');
  });
  it('with a field of four thousand million values is refused, before they are read', async () => {
    const file = new Uint8Array(
      await sharp({ create: { width: 7, height: 5, channels: 3, background: '#808080' } })
        .tiff()
        .toBuffer(),
    );
    const view = new DataView(file.buffer);
    const directory = view.getUint32(4, true);
    view.setUint32(directory + 2 + 4, 0xfe_00_00_01, true);
    await expect(decodeTiff(file.buffer)).rejects.toThrow('it is damaged');
  });
});
