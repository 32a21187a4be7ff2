import { expect, test } from 'vitest';
import { keptMeasures } from '../../../src/shelf/kept-measures.ts';
import { MemoryDisk, memoryStore } from '../../../src/shelf/memory-store.ts';

const [clean, rough, gone] = ['a', 'b', 'c'].map((letter) => letter.repeat(64)) as [string, string, string];

test('what was measured comes back; a sweep takes only what speaks of images that are gone', async () => {
  const store = memoryStore(new MemoryDisk());
  const measures = keptMeasures(store);
  await store.write('relaxed', async (records) => {
    for (const sha of [clean, rough]) records.put(['image', sha], {});
  });
  const kept = `2:drawing:${clean}:${rough}:24`;
  await measures.set(kept, { weight: Float32Array.of(4.5) });
  await measures.set(`2:drawing:${clean}:${gone}:24`, 1);
  await measures.set(`2:boil:${gone}:${clean}`, 2);
  expect(await measures.sweep()).toBe(2);
  expect(await measures.get(kept)).toEqual({ weight: Float32Array.of(4.5) });
  expect(await measures.get(`2:boil:${gone}:${clean}`)).toBeUndefined();
  expect(await measures.sweep()).toBe(0);
});
