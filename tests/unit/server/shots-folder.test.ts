// Real PNG files made by sharp (an outside library); expected takes counted by hand.
import { cp, mkdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import sharp from 'sharp';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { readShot } from '../../../src/intake/node/read-shot.ts';
import type { Entry } from '../../../src/note/entry.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import { isOrigin, isTrueOrigin, originEntries } from '../../../src/note/origin.ts';
import { parseEntry } from '../../../src/note/parse.ts';
import { shotBodies } from '../../../src/note/shot-bodies.ts';
import { shotOf as shotOfEntries } from '../../../src/note/shot-of.ts';
import { usualLimits } from '../../../src/server/limits.ts';
import { folderKeeper } from '../../../src/server/pictures/folder-keeper.ts';
import { images } from '../../../src/server/pictures/images.ts';
import { readFolderShot } from '../../../src/server/read-folder-shot.ts';
import { Refusal } from '../../../src/server/refusal.ts';
import { watchShots } from '../../../src/server/shots-folder.ts';
import { memoryStore } from '../../../src/server/store/memory-store.ts';
import type { EntryStore, ShotStore } from '../../../src/server/store/types.ts';
import { drawingKey } from '../../../src/shot/drawing-ref.ts';
import type { Drawing, Shot } from '../../../src/shot/model.ts';
import { type TestStudio, temporaryFolder, testStudio } from '../../support/studio-server.ts';
import { entry, written } from '../note/make.ts';
import { picture, sha256, shotOf } from '../sync/world.ts';

/** As their entries make them. */
const shotsIn = async (store: ShotStore): Promise<Shot[]> => {
  const ids = [...(await store.paperShots()).keys()];
  const shots = await Promise.all(ids.map(async (id) => shotOfEntries(id, await store.paper(id))));
  return shots.flatMap((shot) => shot ?? []);
};

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
      async () => {
        const [shot] = await shotsIn(studio.studio.store);
        if (!shot) throw new Error(`no shot yet; log: ${studio.log.join('; ')}`);
        check(shot);
        return shot;
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
  const entriesOf = async (id: string, store: EntryStore = studio.studio.store): Promise<Entry[]> =>
    (await store.after(id, 0, 1000)).map(({ json }) => JSON.parse(json) as Entry);
  const bySomebody = async (id: string): Promise<string[]> =>
    (await entriesOf(id))
      .filter((entry) => !isOrigin(entry))
      .map(({ writer, body }) => `${writer.id}: ${body.kind}${'drawing' in body ? ` ${body.drawing}` : ''}`);

  test('brings what any tablet would that takes it in, and says later changes in its own name', async () => {
    await start();
    const { id } = await only((shot) => expect(drawing(shot, '1')?.takes).toHaveLength(1));
    const brought = await entriesOf(id);
    expect(brought.length).toBeGreaterThan(3);
    expect(brought.filter((entry) => !isTrueOrigin(entry))).toEqual([]);
    await put('lantern/clean/1.png', await png(7));
    await only((shot) => expect(drawing(shot, '1')?.takes).toHaveLength(2));
    expect(await bySomebody(id)).toEqual(['studio-folder: take 1']);
    expect((await entriesOf(id)).filter((entry) => !parseEntry(entry).ok)).toEqual([]);
  });
  test('a drawing exported again is no new take; one that got a newer take is clean by it', async () => {
    await start();
    const { id } = await only((shot) => expect(drawing(shot, '1')?.takes).toHaveLength(1));
    // Packed otherwise: other bytes, equal pixels (PNG is lossless).
    const packed = await sharp(await png(6))
      .png({ compressionLevel: 0 })
      .toBuffer();
    expect(sha256(packed)).not.toBe(sha256(await png(6)));
    await put('lantern/clean/1.png', packed);
    await vi.waitFor(() => expect(studio.log.join('\n')).toContain('1 was exported again'), {
      timeout: 20_000,
    });
    expect(await bySomebody(id)).toEqual([]);
    await put('lantern/clean/3.png', await png(10));
    await only((shot) => expect(drawing(shot, '3')?.takes).toHaveLength(1));
    expect(await bySomebody(id)).toEqual(['studio-folder: take 3']);
    const states = mergeNotes(await entriesOf(id)).drawingStates;
    expect(states.get(drawingKey({ level: '', drawing: '3' }))?.state).toBe('clean');
    // The folder was read again, and what was found out of the other drawing still holds.
    expect(studio.log.filter((line) => line.includes('1 was exported again'))).toHaveLength(1);
  });
  test('gone back to an earlier picture it is a take again, once', async () => {
    await start();
    const takes = (count: number) => only((shot) => expect(drawing(shot, '1')?.takes).toHaveLength(count));
    const { id } = await takes(1);
    await put('lantern/clean/1.png', await png(7));
    await takes(2);
    await put('lantern/clean/1.png', await png(6));
    const shot = await takes(3);
    const images = drawing(shot, '1')?.takes.map(({ image }) => image.sha256);
    expect(images).toEqual([await png(6), await png(7), await png(6)].map(sha256));
    await put('lantern/clean/3.png', await png(10));
    await only((now) => expect(drawing(now, '3')?.takes).toHaveLength(1));
    expect(await bySomebody(id)).toEqual([
      'studio-folder: take 1',
      'studio-folder: take 1',
      'studio-folder: take 3',
    ]);
  });
  test('what people said since stays, as long as the folder says nothing new of it', async () => {
    await put('lantern/shot.json', Buffer.from(JSON.stringify({ title: 'Lantern', fps: 24 })));
    await start();
    const { id } = await only((shot) => expect(shot.title).toBe('Lantern'));
    const said: Entry = {
      ...entry({ kind: 'shot', title: 'Lantern, night', fps: 25 }, Date.now()),
      shot: id,
    };
    await studio.studio.store.add([written(said)], undefined);
    await put('lantern/clean/3.png', await png(10));
    const after = await only((now) => expect(drawing(now, '3')?.takes).toHaveLength(1));
    expect([after.title, after.fps]).toEqual(['Lantern, night', 25]);
    await put('lantern/shot.json', Buffer.from(JSON.stringify({ title: 'Lantern, dusk', fps: 24 })));
    const renamed = await only((now) => expect(now.title).toBe('Lantern, dusk'));
    expect(renamed.fps).toBe(25);
  });
  test('a shot that a tablet put up is taken over by the folder with its id, and keeps its own takes', async () => {
    await put('lantern/shot.json', Buffer.from(JSON.stringify({ id: 'lantern-1', title: 'Lantern' })));
    const store = memoryStore();
    const [kept, own] = [picture(1).ref, picture(2).ref];
    const bodies = shotBodies(shotOf([kept, own], 'lantern-1'));
    await store.add(originEntries('lantern-1', bodies).map(written), undefined);
    const needs = {
      readShot,
      store,
      images: await images({ keeper: await folderKeeper(join(folder, 'images')) }),
      memory: { digests: new Map<string, string>(), told: new Set<string>() },
      log: () => undefined,
    };
    await readFolderShot(folder, 'lantern', needs);
    await readFolderShot(folder, 'lantern', needs);
    const [shot] = await shotsIn(store);
    expect(shot?.id).toBe('lantern-1');
    expect(drawing(shot as Shot, '1')?.takes.map(({ image }) => image.sha256)).toEqual([
      own.sha256,
      sha256(await png(6)),
    ]);
  });
  test('broken off before its entries are stored, it is all made up for', async () => {
    const store = memoryStore();
    let fails = false;
    const needs = {
      readShot,
      store: {
        ...store,
        add: (...asked: Parameters<typeof store.add>) =>
          fails ? Promise.reject(new Error('The disk is full.')) : store.add(...asked),
      },
      images: await images({ keeper: await folderKeeper(join(folder, 'images')) }),
      memory: { digests: new Map<string, string>(), told: new Set<string>() },
      log: () => undefined,
    };
    await readFolderShot(folder, 'lantern', needs);
    const takes = async () => drawing((await shotsIn(store))[0] as Shot, '3')?.takes;
    await put('lantern/clean/3.png', await png(10));
    fails = true;
    await expect(readFolderShot(folder, 'lantern', needs)).rejects.toThrow('The disk is full.');
    expect(await takes()).toHaveLength(0);
    fails = false;
    await readFolderShot(folder, 'lantern', needs);
    await readFolderShot(folder, 'lantern', needs);
    expect(await takes()).toHaveLength(1);
    expect(await shotsIn(store)).toHaveLength(1);
  });
  test('a picture that no tablet could decode is named and left out, and the rest is offered', async () => {
    // A whole PNG (its lengths and checksums hold) whose pixels are no zlib stream (PNG, 10.1).
    const whole = await png(11);
    const at = whole.indexOf('IDAT');
    const length = whole.readUInt32BE(at - 4);
    const broken = Buffer.from(whole);
    broken.fill(0x55, at + 4, at + 4 + length);
    broken.writeUInt32BE(crc32(broken.subarray(at, at + 4 + length)), at + 4 + length);
    await put('lantern/clean/3.png', broken);
    await start();
    const shot = await only((now) => expect(drawing(now, '1')?.takes).toHaveLength(1));
    expect(drawing(shot, '3')).toMatchObject({ takes: [], rough: {} });
    expect(studio.log.join('\n')).toMatch(/lantern: .*clean\/3\.png: .*damaged/);
  });
  test('a file still being written is waited for, and never offered half', async () => {
    await start();
    const before = await only((shot) => expect(drawing(shot, '1')?.takes).toHaveLength(1));
    const whole = await png(12);
    await put('lantern/clean/3.png', whole.subarray(0, whole.length >> 1));
    await vi.waitFor(() => expect(studio.log.join('\n')).toContain('3.png'), { timeout: 20_000 });
    expect(drawing((await shotsIn(studio.studio.store))[0] as Shot, '3')?.takes).toEqual([]);
    expect((await shotsIn(studio.studio.store))[0]).toEqual(before);
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
    expect((await shotsIn(studio.studio.store))[0]).toEqual(shot);
    await rename(`${folder}-away`, folder);
  });
  test('a copy of a shot’s folder is a shot of its own', async () => {
    await start();
    await only((now) => expect(drawing(now, '1')?.takes).toHaveLength(1));
    await cp(join(folder, 'lantern'), join(folder, 'lantern copy'), { recursive: true });
    await vi.waitFor(async () => expect(await shotsIn(studio.studio.store)).toHaveLength(2), {
      timeout: 20_000,
    });
    const ids = (await shotsIn(studio.studio.store)).map(({ id }) => id);
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

test('while the database is away the watched folder says so once, and once when it is read again', async () => {
  const folder = temporaryFolder();
  const log: string[] = [];
  let looks = 0;
  const store = memoryStore();
  const away = new Refusal(503, 'database', 'The database is away.');
  store.watchesFolder = async () => {
    if (++looks < 6) throw away;
    return true;
  };
  const watching = watchShots({
    folder,
    store,
    rescanMs: 5,
    readShot,
    images: await images({ keeper: await folderKeeper(join(folder, '.images')), limits: usualLimits }),
    log: (line) => log.push(line),
  });
  await vi.waitFor(() => expect(looks).toBeGreaterThan(10), { timeout: 20_000, interval: 10 });
  await watching.close();
  await rm(folder, { recursive: true });
  expect(log).toEqual([
    `The shots folder ${folder} could not be read: The database is away.`,
    `The shots folder ${folder} is read again.`,
  ]);
});
