/** What every keeper of pictures must do, run on each of them. Expected: the contract in `pictures/keeper.ts`, by hand. */
import { mkdir, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Keeper, Kept } from '../../../src/server/pictures/keeper.ts';
import { Refusal } from '../../../src/server/refusal.ts';
import { picture, sha256 } from '../sync/world.ts';

export interface MadeKeeper {
  readonly keeper: Keeper;
  /** As another process, or the same after a restart, opens it. */
  readonly again: () => Promise<Keeper>;
  readonly clean: () => Promise<void> | void;
  /** What lay there before: a mark of five letters, or nothing. */
  readonly bytesBefore?: number;
}

export async function readAll(keeper: Keeper, name: string, start = 0, end?: number): Promise<Buffer> {
  const pieces: Buffer[] = [];
  const size = (await keeper.size(name)) ?? 0;
  for await (const piece of await keeper.read(name, start, end ?? size)) pieces.push(piece as Buffer);
  return Buffer.concat(pieces);
}

export async function namesIn(keeper: Keeper): Promise<Kept[]> {
  const found: Kept[] = [];
  for await (const kept of keeper.names()) found.push(kept);
  return found.sort((a, b) => (a.sha256 < b.sha256 ? -1 : 1));
}

let files = 0;
/** As an upload leaves it. */
export async function partOf(keeper: Keeper, bytes: Uint8Array): Promise<string> {
  await mkdir(keeper.partsFolder, { recursive: true });
  const file = join(keeper.partsFolder, `part-${++files}`);
  await writeFile(file, bytes);
  return file;
}

export function keeperContract(name: string, make: () => Promise<MadeKeeper>): void {
  describe(`${name}: the keeper’s contract`, () => {
    let made: MadeKeeper;
    let keeper: Keeper;
    beforeEach(async () => {
      made = await make();
      ({ keeper } = made);
    });
    afterEach(async () => {
      await keeper.close();
      await made.clean();
    });
    const { bytes, ref } = picture(7, 70_001);
    const put = async (keeper: Keeper, of: Uint8Array): Promise<void> =>
      keeper.put(sha256(of), await partOf(keeper, of));

    test('what is put is there, whole and in parts, for every process, and its file is gone', async () => {
      expect(await keeper.size(ref.sha256)).toBeUndefined();
      const file = await partOf(keeper, bytes);
      await keeper.put(ref.sha256, file);
      await expect(stat(file)).rejects.toThrow('ENOENT');
      const other = await made.again();
      for (const one of [keeper, other]) {
        expect(await one.size(ref.sha256)).toBe(70_001);
        expect(await one.mediaType(ref.sha256)).toBe('image/png');
        expect(sha256(await readAll(one, ref.sha256))).toBe(ref.sha256);
        expect(await readAll(one, ref.sha256, 0, 1)).toEqual(Buffer.from(bytes.subarray(0, 1)));
        expect(await readAll(one, ref.sha256, 70_000, 70_001)).toEqual(Buffer.from(bytes.subarray(70_000)));
        expect(await readAll(one, ref.sha256, 1234, 56_789)).toEqual(
          Buffer.from(bytes.subarray(1234, 56_789)),
        );
      }
      await other.close();
    });

    test('what is no picture has no type that a browser would show, and no bytes are kept as none', async () => {
      const text = Buffer.from('<html>');
      await put(keeper, text);
      expect(await keeper.mediaType(sha256(text))).toBe('application/octet-stream');
      const none = Buffer.alloc(0);
      await put(keeper, none);
      expect(await keeper.size(sha256(none))).toBe(0);
      expect(await readAll(keeper, sha256(none))).toEqual(none);
    });

    test('what is not there is refused, and a file that is not there cannot be put', async () => {
      for (const ask of [() => keeper.read(ref.sha256, 0, 10), () => keeper.mediaType(ref.sha256)])
        await expect(ask()).rejects.toSatisfy((error) => error instanceof Refusal && error.status === 404);
      await expect(keeper.put(ref.sha256, join(keeper.partsFolder, 'none'))).rejects.toThrow('ENOENT');
      expect(await keeper.size(ref.sha256)).toBeUndefined();
      expect(await namesIn(keeper)).toEqual([]);
    });

    test('put by several at one time it is there once', async () => {
      const other = await made.again();
      await Promise.all([put(keeper, bytes), put(other, bytes), put(keeper, bytes), put(other, bytes)]);
      expect(await namesIn(keeper)).toEqual([{ sha256: ref.sha256, byteLength: 70_001 }]);
      expect(sha256(await readAll(other, ref.sha256))).toBe(ref.sha256);
      await other.close();
    });

    test('all are named with their lengths, and nothing else that lies there', async () => {
      const several = Array.from({ length: 8 }, (_, n) => picture(20 + n, 300 + n * 7));
      for (const { bytes } of several) await put(keeper, bytes);
      const spare = picture(50, 999);
      await put(keeper, spare.bytes);
      await keeper.setAside(spare.ref.sha256);
      await keeper.setNote('mark', 'whose');
      expect(await namesIn(keeper)).toEqual(
        several
          .map(({ ref }) => ({ sha256: ref.sha256, byteLength: ref.byteLength }))
          .sort((a, b) => (a.sha256 < b.sha256 ? -1 : 1)),
      );
      const sum = several.reduce((sum, { ref }) => sum + ref.byteLength, 0);
      // What was set aside takes room, and so does the note of five letters.
      expect(await keeper.usedBytes()).toBe(sum + 999 + 5);
    });

    test('what is set aside is no longer under its name, its bytes are kept, and it may be put again', async () => {
      await put(keeper, bytes);
      expect(await keeper.size(ref.sha256)).toBe(70_001);
      expect(await keeper.setAside(ref.sha256)).toContain(`not-as-named/${ref.sha256}-`);
      expect(await keeper.size(ref.sha256)).toBeUndefined();
      expect(await keeper.usedBytes()).toBe(70_001 + (made.bytesBefore ?? 0));
      // Another process was faster.
      await keeper.setAside(ref.sha256);
      await put(keeper, bytes);
      expect(sha256(await readAll(keeper, ref.sha256))).toBe(ref.sha256);
    });

    test('notes lie beside the pictures until they are taken away', async () => {
      expect(await keeper.note('moved')).toBeUndefined();
      await keeper.setNote('moved', 'there → “ü”\n');
      const other = await made.again();
      expect(await other.note('moved')).toBe('there → “ü”\n');
      await other.setNote('moved', 'elsewhere');
      expect(await keeper.note('moved')).toBe('elsewhere');
      await other.setNote('moved', undefined);
      await other.setNote('moved', undefined);
      expect(await keeper.note('moved')).toBeUndefined();
      await other.close();
    });
  });
}
