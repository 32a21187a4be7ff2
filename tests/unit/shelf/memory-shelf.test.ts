import { describe, expect, test } from 'vitest';
import { MemoryDisk, memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import { ShelfError } from '../../../src/shelf/types.ts';
import { putShot } from '../../support/put-shot.ts';
import { CASES, entryOf, imageOf, shotOf } from '../../support/shelf-contract.ts';

describe('the shelf in memory', () => {
  test.each(Object.entries(CASES))('%s', async (_name, run) => {
    const disk = new MemoryDisk();
    await run(() => Promise.resolve(memoryShelf(disk)));
  });
});

describe('an intake that was killed', () => {
  test('leaves images that the next start sweeps out, but not those that a shot uses', async () => {
    const disk = new MemoryDisk();
    const killed = memoryShelf(disk);
    await killed.keepImage(imageOf(1));
    await putShot(killed, shotOf('s', [1]));
    await killed.keepImage(imageOf(2));
    disk.sessions.clear();

    const next = memoryShelf(disk);
    expect(await next.sweep()).toBe(1);
    expect(await next.hasImage(imageOf(2).ref.sha256)).toBe(false);
    expect(await next.hasImage(imageOf(1).ref.sha256)).toBe(true);
  });

  test('and taken up again finds its images, which then stay', async () => {
    const disk = new MemoryDisk();
    await memoryShelf(disk).keepImage(imageOf(2));
    disk.sessions.clear();

    const next = memoryShelf(disk);
    expect(await next.hasImage(imageOf(2).ref.sha256)).toBe(true);
    expect(await memoryShelf(disk).sweep()).toBe(0);
    await putShot(next, shotOf('s', [2]));
  });
});

describe('a full disk', () => {
  test('drawings are refused while notes still find room', async () => {
    // 20 MB are left to notes, so a disk of 20.001 MB takes no image of 2 kB.
    const shelf = memoryShelf(new MemoryDisk(20_001_000));
    await expect(shelf.keepImage(imageOf(1, 2000))).rejects.toMatchObject({ code: 'full' });
    await shelf.addEntries([entryOf('e1', 'a')], 'here');
    expect(await shelf.marked('unsent')).toHaveLength(1);
  });

  test('flip pictures of the shot not used for longest go before a note is refused, and this is told', async () => {
    const disk = new MemoryDisk(Number.MAX_SAFE_INTEGER);
    const shelf = memoryShelf(disk);
    for (const n of [1, 2]) await shelf.keepImage(imageOf(n));
    await putShot(shelf, shotOf('untouched', [1]));
    await putShot(shelf, shotOf('on the desk', [2]));
    await shelf.keepDeskState('on the desk', { drawing: '1' });
    disk.capacityBytes = disk.usedBytes();
    const letGo: number[] = [];
    shelf.onLetGo(({ pictures }) => letGo.push(pictures));

    await shelf.addEntries([entryOf('e1', 'on the desk')], 'here');
    expect(letGo).toEqual([1]);
    expect(await shelf.picture(imageOf(1).ref.sha256, 'flip')).toBeUndefined();
    expect(await shelf.picture(imageOf(2).ref.sha256, 'flip')).toBeDefined();
    expect(await shelf.file(imageOf(1).ref.sha256)).toBeDefined();
    expect(await shelf.marked('unsent')).toHaveLength(1);
  });

  test('with nothing left to let go the note is refused, told, and written when there is room again', async () => {
    const disk = new MemoryDisk(0);
    const shelf = memoryShelf(disk);
    const health: string[] = [];
    shelf.onHealth((state) => health.push(state));
    await expect(shelf.addEntries([entryOf('e1', 'a')], 'here')).rejects.toMatchObject({ code: 'full' });
    expect(health.at(-1)).toBe('not saved');
    expect(await shelf.entries('a')).toEqual([]);

    disk.capacityBytes = 1e9;
    await shelf.addEntries([entryOf('e1', 'a')], 'here');
    expect(health.at(-1)).toBe('saved');
  });
});

test('a write that fails changes nothing', async () => {
  const disk = new MemoryDisk();
  const shelf = memoryShelf(disk);
  await shelf.keepImage(imageOf(1));
  await putShot(shelf, shotOf('s', [1]));
  disk.fault = new ShelfError('lost', 'The disk is broken.');
  await expect(shelf.dropShot('s')).rejects.toMatchObject({ code: 'lost' });
  expect(await shelf.shot('s')).toEqual(shotOf('s', [1]));
  expect(await shelf.file(imageOf(1).ref.sha256)).toBeDefined();
});
