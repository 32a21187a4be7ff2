import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { largeShot } from '../../../sample-shots/large.ts';

const small = { width: 640, height: 360, count: 12 };
const text = (bytes: Uint8Array | undefined): unknown => JSON.parse(new TextDecoder().decode(bytes));

describe('large shots', () => {
  it('are the same for the same seed, and others for another', () => {
    const one = [...largeShot({ ...small, count: 4, seed: 5 })];
    const again = [...largeShot({ ...small, count: 4, seed: 5 })];
    const other = [...largeShot({ ...small, count: 4, seed: 6 })];
    expect(one.map((f) => f.path)).toEqual(again.map((f) => f.path));
    one.forEach((f, i) => expect(Buffer.compare(f.bytes, again[i]!.bytes), f.path).toBe(0));
    expect(one.filter((f, i) => Buffer.compare(f.bytes, other[i]!.bytes) === 0)).toEqual([]);
  });

  it('hold rough and clean of every drawing, at the size asked for', async () => {
    const files = new Map([...largeShot(small)].map((f) => [f.path, f.bytes]));
    expect(files.size).toBe(1 + 2 * small.count);
    for (const [path, bytes] of files) {
      if (path === 'shot.json') continue;
      const { width, height, format } = await sharp(bytes).metadata();
      expect({ path, width, height, format }).toEqual({ path, width: 640, height: 360, format: 'png' });
    }
    const [level] = (
      text(files.get('shot.json')) as { levels: { drawings: { label: string; role: string }[] }[] }
    ).levels;
    expect(level?.drawings.map((d) => d.label)).toEqual(Array.from({ length: 12 }, (_, i) => String(i + 1)));
    expect([level?.drawings[0]?.role, level?.drawings.at(-1)?.role]).toEqual(['key', 'key']);
  });

  it('plant faults only when asked to', () => {
    expect([...largeShot(small)].some((f) => f.path.includes('fault'))).toBe(false);
    const list = text([...largeShot({ ...small, count: 20, faults: true })].at(-1)?.bytes) as {
      faults: { check: string }[];
    };
    expect(list.faults.map((f) => f.check)).toEqual(['weight', 'leaks', 'specks']);
  });

  it('can be of one drawing', () => {
    expect([...largeShot({ ...small, count: 1 })].map((f) => f.path)).toEqual([
      'shot.json',
      'clean/0001.png',
      'rough/0001.png',
    ]);
  });
});
