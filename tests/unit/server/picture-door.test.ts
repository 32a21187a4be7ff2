// Expected: the sentences of intake (src/intake/limits.ts) for the same files, and what a tablet's own decoder says of each.
import { createHash } from 'node:crypto';
import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { decode } from '../../../src/intake/decode.ts';
import { originEntries } from '../../../src/note/origin.ts';
import { shotBodies } from '../../../src/note/shot-bodies.ts';
import { ask } from '../../support/ask-studio.ts';
import { type TestStudio, testStudio } from '../../support/studio-server.ts';
import { chunk, makeApng, makePng, nameOf, pngKinds, signature } from '../intake/png-files.ts';
import { picture, shotOf } from '../sync/world.ts';

const grey = { colour: 0, depth: 8, interlaced: false } as const;
const whole = makePng(grey);

/** Headers by the specifications (PNG 11.2.1, TIFF 6.0 section 2), with a size of their own. */
function pngOf(width: number, height: number): Uint8Array {
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([8, 0], 8);
  // The pixels of the 23 × 17 px of `whole`.
  return Buffer.concat([signature, chunk('IHDR', header), whole.subarray(33)]);
}
function tiffOf(width: number, height: number, stripBytes = 10): Uint8Array {
  const tags: [tag: number, value: number][] = [
    [256, width],
    [257, height],
    [258, 8],
    [259, 1],
    [262, 1],
    [273, 150],
    [277, 1],
    [278, height],
    [279, stripBytes],
  ];
  const file = Buffer.alloc(160);
  file.write('II*\0', 'latin1');
  file.writeUInt32LE(8, 4);
  file.writeUInt16LE(tags.length, 8);
  for (const [n, [tag, value]] of tags.entries()) {
    file.writeUInt16LE(tag, 10 + n * 12);
    file.writeUInt16LE(4, 12 + n * 12);
    file.writeUInt32LE(1, 14 + n * 12);
    file.writeUInt32LE(value, 18 + n * 12);
  }
  return file;
}
const noise = (width: number, height: number) =>
  sharp(Buffer.from(Array.from({ length: width * height }, (_, n) => (n * 7919) & 255)), {
    raw: { width, height, channels: 1 },
  });

let studio: TestStudio;
beforeAll(async () => {
  studio = await testStudio();
});
afterAll(() => studio.close());

const put = async (bytes: Uint8Array): Promise<{ status: number; code?: string; reason?: string }> => {
  const sha256 = createHash('sha256').update(bytes).digest('hex');
  const response = await ask(studio, `api/images/${sha256}`, { method: 'PUT', body: new Uint8Array(bytes) });
  return { status: response.status, ...(await response.json()) };
};

describe('a picture that no tablet can take is refused with a sentence', () => {
  test.each<[name: string, file: () => Uint8Array | Promise<Uint8Array>, why: string]>([
    ['words', () => Buffer.from('The lamp is lit in drawing 12.'), 'it is no picture this app knows'],
    ['a PDF', () => Buffer.from('%PDF-1.7\n1 0 obj'), 'it is a PDF document'],
    ['a GIF', () => noise(9, 7).gif().toBuffer(), 'it is a GIF picture'],
    ['a PNG cut in the middle', () => whole.subarray(0, 120), 'it ends in the middle of the picture'],
    ['a PNG whose header promises more', () => pngOf(23, 40), 'it ends in the middle of the picture'],
    ['a PNG too large', () => pngOf(20_000, 20_000), 'it is 20000 × 20000 px'],
    ['a PNG without a pixel', () => pngOf(0, 17), 'it is 0 × 17 px'],
    [
      'a PNG with a wrong byte in its pixels',
      () => whole.map((byte, n) => (n === 60 ? byte ^ 1 : byte)),
      'it is damaged',
    ],
    ['a TIFF too large', () => tiffOf(10_000, 10_000), 'it is 10000 × 10000 px'],
    ['a TIFF whose strip lies beyond its end', () => tiffOf(20, 10, 5000), 'it ends in the middle'],
    ['a TIFF cut in its directory', () => tiffOf(20, 10).subarray(0, 60), 'it ends in the middle'],
    [
      'a JPEG cut in the middle',
      async () => (await noise(300, 200).jpeg().toBuffer()).subarray(0, 9000),
      'it ends in the middle',
    ],
    [
      'a WebP cut in the middle',
      async () => (await noise(300, 200).webp().toBuffer()).subarray(0, 3000),
      'it ends in the middle',
    ],
    [
      'a WebP that is only its head',
      () => Buffer.concat([Buffer.from('RIFF\x1e\0\0\0WEBPVP8L\x12\0\0\0', 'latin1'), Buffer.alloc(18)]),
      'it is damaged',
    ],
  ])('%s', async (_, file, why) => {
    const answer = await put(await file());
    expect(answer).toMatchObject({ status: 422, code: 'picture' });
    expect(answer.reason).toMatch(/^This picture was not taken: .+\. \S.+\.$/);
    expect(answer.reason).toContain(why);
  });
  test('and nothing of it stays on the server', async () => {
    const folder = join(studio.folder, 'data/images');
    expect(await readdir(join(folder, 'parts'))).toEqual([]);
    expect((await readdir(folder)).filter((name) => name.length === 2)).toEqual([]);
  });
});

describe('what a tablet can take is taken', () => {
  test.each(pngKinds.map((kind) => [nameOf(kind), kind] as const))('PNG, %s', async (_, kind) => {
    expect((await put(makePng(kind))).status).toBe(201);
  });
  test.each<[name: string, file: () => Uint8Array | Promise<Uint8Array>]>([
    ['an animated PNG', () => makeApng({ colour: 2, depth: 8, interlaced: false })],
    ['a PNG without its end mark', () => makePng({ ...grey, interlaced: true }).subarray(0, -12)],
    ['a large PNG', () => noise(1500, 1100).png().toBuffer()],
    ['a JPEG', () => noise(300, 200).jpeg().toBuffer()],
    ['a JPEG in CMYK', () => noise(300, 200).toColourspace('cmyk').jpeg().toBuffer()],
    ['a WebP', () => noise(300, 200).webp().toBuffer()],
    ['a WebP without loss', () => noise(300, 200).webp({ lossless: true }).toBuffer()],
    ['a TIFF', () => noise(300, 200).tiff({ compression: 'lzw' }).toBuffer()],
    [
      'a TIFF in CMYK',
      () => noise(300, 200).toColourspace('cmyk').tiff({ compression: 'deflate' }).toBuffer(),
    ],
  ])('%s', async (name, file) => {
    const bytes = await file();
    // JPEG and WebP need a browser; the others are asked of the tablet's decoder itself.
    if (!/JPEG|WebP/.test(name)) await decode(new Uint8Array(bytes).buffer);
    expect((await put(bytes)).status).toBe(201);
  });
});

test('a shot is kept without the picture that was refused', async () => {
  const [good, bad] = [picture(1), picture(2)];
  expect((await put(good.bytes)).status).toBe(201);
  expect((await put(good.bytes.subarray(0, 40))).status).toBe(422);
  const lines = originEntries('shot-1', shotBodies(shotOf([good.ref, bad.ref]))).map((entry) =>
    JSON.stringify(entry),
  );
  const posted = await ask(studio, 'api/entries', {
    method: 'POST',
    headers: { 'content-type': 'application/x-ndjson' },
    body: lines.join('\n'),
  });
  const { refused } = (await posted.json()) as { refused: { code: string }[] };
  expect(refused.map(({ code }) => code)).toEqual(['early']);
  const { shots } = (await (await ask(studio, 'api/shots')).json()) as { shots: { byteLength: number }[] };
  expect(shots.map(({ byteLength }) => byteLength)).toEqual([good.ref.byteLength]);
});

test('while one large picture is looked at, others are answered', async () => {
  const png = await noise(4000, 3000).png().toBuffer();
  const large = put(png).then((answer) => ({ answer }));
  let answered = 0;
  for (let last: { answer: { status: number } } | undefined; !last; answered++) {
    expect((await ask(studio, 'api/me')).status).toBe(200);
    last = await Promise.race([large, delay(50, undefined)]);
  }
  expect((await large).answer.status).toBe(201);
  expect(answered).toBeGreaterThan(3);
});
