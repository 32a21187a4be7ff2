// Real PNG files made by sharp (an outside library); expected takes counted by hand.
import { cp, mkdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { readShot } from '../../../src/intake/node/read-shot.ts';
import { images } from '../../../src/server/images.ts';
import { mergeShot } from '../../../src/server/merge-shot.ts';
import { readFolderShot } from '../../../src/server/read-folder-shot.ts';
import { memoryStore } from '../../../src/server/store/memory-store.ts';
import type { Drawing, Shot } from '../../../src/shot/model.ts';
import { type TestStudio, temporaryFolder, testStudio } from '../../support/studio-server.ts';
import { picture, sha256, shotOf } from '../sync/world.ts';

/** A sheet with one stroke at a height of its own. */
const png = (y: number): Promise<Buffer> =>
  sharp(
    Buffer.from(
      `<svg xmlns="http://www.w3.org/2000/svg" width="64" height="40"><rect width="64" height="40" fill="#fff"/><path d="M4 ${y}L60 ${y + 2}" stroke="#000" stroke-width="2"/></svg>`,
    ),
  )
    .png()
    .toBuffer();

describe('a watched folder', () => {
  let folder: string;
  let studio: TestStudio;
  const put = async (path: string, bytes: Uint8Array): Promise<void> => {
    await mkdir(join(folder, path, '..'), { recursive: true });
    await writeFile(join(folder, path), bytes);
  };
  const only = async (check: (shot: Shot) => void): Promise<Shot> =>
    vi.waitFor(
      () => {
        const [kept] = studio.studio.store.shots();
        if (!kept) throw new Error(`no shot yet; log: ${studio.log.join('; ')}`);
        check(kept.shot);
        return kept.shot;
      },
      { timeout: 20_000, interval: 20 },
    );
  const drawing = (shot: Shot, label: string): Drawing | undefined =>
    shot.levels[0]?.drawings.find((found) => found.label === label);
  const start = async (): Promise<void> => {
    studio = await testStudio({ shots: { folder, readShot }, rescanMs: 30 });
  };
  beforeEach(async () => {
    folder = temporaryFolder();
    await put('lantern/rough/1.png', await png(5));
    await put('lantern/rough/3.png', await png(9));
    await put('lantern/clean/1.png', await png(6));
  });
  afterEach(async () => {
    await studio.close();
    await rm(folder, { recursive: true, force: true });
  });

  test('is offered, with pictures by their hash', async () => {
    await start();
    const shot = await only(({ levels }) => expect(levels[0]?.drawings).toHaveLength(2));
    const clean = drawing(shot, '1')?.takes[0]?.image;
    expect(clean?.sha256).toBe(sha256(await png(6)));
    const response = await fetch(new URL(`api/images/${clean?.sha256}`, studio.url));
    expect(response.headers.get('content-type')).toBe('image/png');
    expect(Buffer.from(await response.arrayBuffer())).toEqual(await png(6));
  });
  test('a changed clean drawing is a new take, a new one a first take; the roughs are no takes', async () => {
    await start();
    await only((shot) => expect(drawing(shot, '1')?.takes).toHaveLength(1));
    await put('lantern/clean/1.png', await png(7));
    await put('lantern/clean/3.png', await png(10));
    const shot = await only((now) => expect(drawing(now, '3')?.takes).toHaveLength(1));
    await only((now) => expect(drawing(now, '1')?.takes.map((take) => take.number)).toEqual([1, 2]));
    expect(drawing(shot, '1')?.rough?.sha256).toBe(sha256(await png(5)));
  });
  test('a drawing exported again is no new take; one that got a newer take is called clean', async () => {
    await start();
    const before = await only((shot) => expect(drawing(shot, '1')?.takes).toHaveLength(1));
    const said = (): string[] =>
      studio.studio.store
        .after(before.id, 0, 100)
        .map(({ json }) => JSON.parse(json).body)
        .map(({ kind, drawing: label, state }) => `${kind} ${label} ${state}`);
    // Packed otherwise: other bytes, equal pixels (PNG is lossless).
    const packed = await sharp(await png(6))
      .png({ compressionLevel: 0 })
      .toBuffer();
    expect(sha256(packed)).not.toBe(sha256(await png(6)));
    await put('lantern/clean/1.png', packed);
    await vi.waitFor(() => expect(studio.log.join('\n')).toContain('1 was exported again'), {
      timeout: 20_000,
    });
    expect(drawing(studio.studio.store.shots()[0]?.shot as Shot, '1')?.takes).toHaveLength(1);
    expect(said()).toEqual([]);
    await put('lantern/clean/3.png', await png(10));
    await only((shot) => expect(drawing(shot, '3')?.takes).toHaveLength(1));
    // Said before the take is offered: no approval goes over to a take that nobody has looked at.
    expect(said()).toEqual(['drawing state 3 clean']);
    // The folder was read again, and what was found out of the other drawing still holds.
    expect(studio.log.filter((line) => line.includes('1 was exported again'))).toHaveLength(1);
  });
  test('broken off between saying that takes arrived and offering them, it is all made up for', async () => {
    const store = memoryStore();
    let fails = false;
    const needs = {
      readShot,
      store: {
        ...store,
        add: (...asked: Parameters<typeof store.add>) =>
          fails ? Promise.reject(new Error('The disk is full.')) : store.add(...asked),
      },
      images: await images(join(folder, 'images')),
      changed: () => undefined,
      log: () => undefined,
    };
    await readFolderShot(folder, 'lantern', needs);
    const takes = () => drawing(store.shots()[0]?.shot as Shot, '3')?.takes;
    await put('lantern/clean/3.png', await png(10));
    fails = true;
    await expect(readFolderShot(folder, 'lantern', needs)).rejects.toThrow('The disk is full.');
    expect(takes()).toHaveLength(0);
    fails = false;
    await readFolderShot(folder, 'lantern', needs);
    await readFolderShot(folder, 'lantern', needs);
    expect(takes()).toHaveLength(1);
    const [{ shot } = { shot: undefined }] = store.shots();
    expect(store.after(shot?.id ?? '', 0, 9).map(({ json }) => JSON.parse(json).body.state)).toEqual([
      'clean',
    ]);
  });
  test('a file still being written is waited for, and never offered half', async () => {
    await start();
    const before = await only((shot) => expect(drawing(shot, '1')?.takes).toHaveLength(1));
    const whole = await png(12);
    await put('lantern/clean/3.png', whole.subarray(0, whole.length >> 1));
    await vi.waitFor(() => expect(studio.log.join('\n')).toContain('3.png'), { timeout: 20_000 });
    expect(drawing(studio.studio.store.shots()[0]?.shot as Shot, '3')?.takes).toEqual([]);
    expect(studio.studio.store.shots()[0]?.shot).toEqual(before);
    await put('lantern/clean/3.png', whole);
    const shot = await only((now) => expect(drawing(now, '3')?.takes).toHaveLength(1));
    expect(drawing(shot, '3')?.takes[0]?.image.sha256).toBe(sha256(whole));
  });
  test('a deleted file takes nothing away, and its picture is still served', async () => {
    await start();
    const shot = await only((now) => expect(drawing(now, '1')?.takes).toHaveLength(1));
    await rm(join(folder, 'lantern/clean/1.png'));
    await rm(join(folder, 'lantern/rough/1.png'));
    await put('lantern/clean/3.png', await png(10));
    const after = await only((now) => expect(drawing(now, '3')?.takes).toHaveLength(1));
    expect(drawing(after, '1')).toEqual(drawing(shot, '1'));
    const { status } = await fetch(new URL(`api/images/${sha256(await png(6))}`, studio.url));
    expect(status).toBe(200);
  });
  test('a renamed or unreachable shots folder leaves what was offered', async () => {
    await start();
    const shot = await only((now) => expect(drawing(now, '1')?.takes).toHaveLength(1));
    await rename(folder, `${folder}-away`);
    await vi.waitFor(() => expect(studio.log.join('\n')).toContain('cannot be read'), { timeout: 20_000 });
    expect(studio.studio.store.shots()[0]?.shot).toEqual(shot);
    await rename(`${folder}-away`, folder);
  });
  test('a copy of a shot’s folder is a shot of its own', async () => {
    await start();
    await only((now) => expect(drawing(now, '1')?.takes).toHaveLength(1));
    await cp(join(folder, 'lantern'), join(folder, 'lantern copy'), { recursive: true });
    await vi.waitFor(() => expect(studio.studio.store.shots()).toHaveLength(2), { timeout: 20_000 });
    const ids = studio.studio.store.shots().map(({ shot }) => shot.id);
    expect(new Set(ids).size).toBe(2);
  });
  test('a restart keeps ids and takes', async () => {
    await start();
    const shot = await only((now) => expect(drawing(now, '1')?.takes).toHaveLength(1));
    const data = join(studio.folder, 'data');
    await cp(data, `${folder}-data`, { recursive: true });
    await studio.close();
    studio = await testStudio({ shots: { folder, readShot }, rescanMs: 30, data: `${folder}-data` });
    await put('lantern/clean/1.png', await png(20));
    const after = await only((now) => expect(drawing(now, '1')?.takes).toHaveLength(2));
    expect(after.id).toBe(shot.id);
    await rm(`${folder}-data`, { recursive: true });
  });
  test('its files cannot be reached by any path', async () => {
    await start();
    await writeFile(join(folder, 'secret.txt'), 'secret');
    for (const path of [
      '/secret.txt',
      '/%2e%2e/secret.txt',
      '/api/images/..%2f..%2fsecret.txt',
      '/lantern/clean/1.png',
    ]) {
      const response = await fetch(new URL(path, studio.url));
      expect([404, 503], path).toContain(response.status);
      expect(await response.text()).not.toContain('secret\n');
    }
    expect(await readFile(join(folder, 'secret.txt'), 'utf8')).toBe('secret');
  });
});

describe('what a folder shows, over what was known', () => {
  const [rough, first, second] = [picture(1).ref, picture(2).ref, picture(3).ref];
  test('a clean drawing gone back to an earlier picture is a take again: the folder’s holds', () => {
    const known = shotOf([rough, first, second]);
    const merged = mergeShot(known, shotOf([rough, first]));
    expect(merged.levels[0]?.drawings[0]?.takes.map(({ number, image }) => [number, image.sha256])).toEqual([
      [1, first.sha256],
      [2, second.sha256],
      [3, first.sha256],
    ]);
    expect(mergeShot(merged, shotOf([rough, first]))).toEqual(merged);
  });
});
