/** Files for intake tests, made in memory. */
import { strToU8 } from 'fflate';
import sharp from 'sharp';
import type { ByteSource, InputFile } from '../../../src/intake/source.ts';

export function sourceOf(bytes: Uint8Array): ByteSource {
  return {
    byteLength: bytes.length,
    read: (start, end) => Promise.resolve(new Uint8Array(bytes.subarray(start, end))),
  };
}

export function fileOf(path: string, content: Uint8Array | string): InputFile {
  return { path, source: sourceOf(typeof content === 'string' ? strToU8(content) : content) };
}

let cached: Uint8Array | undefined;

/** Any small PNG, for tests that look at names only. */
export async function anyPng(): Promise<Uint8Array> {
  cached ??= new Uint8Array(
    await sharp({ create: { width: 3, height: 2, channels: 3, background: '#808080' } })
      .png()
      .toBuffer(),
  );
  return cached;
}

/** A drawing: paper with a bar whose place depends on `seed`; another seed gives other pixels. */
export async function drawn(
  seed: number,
  { width = 40, height = 30, colour = '#000000' } = {},
): Promise<Uint8Array> {
  const bar = await sharp({ create: { width: 5, height: 9, channels: 3, background: colour } })
    .png()
    .toBuffer();
  const image = sharp({ create: { width, height, channels: 3, background: '#ffffff' } }).composite([
    { input: bar, left: seed % (width - 5), top: Math.floor(seed / (width - 5)) % (height - 9) },
  ]);
  return new Uint8Array(await image.png().toBuffer());
}

/** Every path as a small PNG. */
export async function named(...paths: string[]): Promise<InputFile[]> {
  const png = await anyPng();
  return paths.map((path) => fileOf(path, png));
}
