// Expected: what src/server/README.md says of backup and restore, done as it says.
import { cpSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Body, Entry, Person } from '../../../src/note/entry.ts';
import { folderWriter } from '../../../src/note/origin.ts';
import { openSeal } from '../../../src/server/seal.ts';
import { sealedLine } from '../../../src/wire/entries.ts';
import { joined as joinStudio } from '../../support/ask-studio.ts';
import { type TestStudio, temporaryFolder, testStudio } from '../../support/studio-server.ts';
import { entry, pinBody, written } from '../note/make.ts';

const now = Date.now();
let folder: string;
let studio: TestStudio;
const data = (name = 'data'): string => join(folder, name);
const start = async (name?: string): Promise<void> => {
  studio = await testStudio({ now: () => now, needsPass: true, data: data(name) });
};
beforeEach(async () => {
  folder = temporaryFolder();
  await start();
});
afterEach(async () => {
  await studio.close();
  rmSync(folder, { recursive: true, force: true });
});

interface Page {
  entries: Entry[];
  seals: string[];
  cursor: number;
  at: string | null;
}
const ask = async (path: string, cookie: string, init: RequestInit = {}): Promise<unknown> =>
  (
    await fetch(new URL(path, studio.url), {
      ...init,
      headers: { ...(init.headers as Record<string, string>), cookie },
    })
  ).json();
const pull = async (cookie: string, after = 0): Promise<Page> =>
  (await ask(`api/entries?shot=shot-1&after=${after}`, cookie)) as Page;
const post = async (lines: readonly string[], cookie: string) =>
  (await ask('api/entries', cookie, {
    method: 'POST',
    headers: { 'content-type': 'application/x-ndjson' },
    body: lines.join('\n'),
  })) as { accepted: string[]; refused: { code: string }[] };
const joined = (name: string, role: Person['role']) => joinStudio(studio, name, role);
const from = (writer: Person, body: Body, id: string): string => JSON.stringify(entry(body, 1, writer, id));
const approval = (drawing: string): Body => ({
  kind: 'drawing state',
  level: '',
  drawing,
  state: 'approved',
});

/** As the README says, while the server runs. */
function backUp(to: string): void {
  const db = new Database(join(data(), 'studio.sqlite'));
  db.exec(`VACUUM INTO '${to}'`);
  db.close();
}

/** As the README says: the server stands still, its database is replaced, all else stays. */
async function restore(copy: string): Promise<void> {
  await studio.close();
  for (const end of ['', '-wal', '-shm']) rmSync(join(data(), `studio.sqlite${end}`), { force: true });
  cpSync(copy, join(data(), 'studio.sqlite'));
  await start();
}

test('restored from an older copy it shows that it was, and has all of it back from one tablet that saw it', async () => {
  const [dov, ana] = [await joined('Dov', 'director'), await joined('Ana', 'artist')];
  await post([from(dov.writer, approval('1'), 'before')], dov.cookie);
  const copy = join(folder, 'copy.sqlite');
  backUp(copy);
  // In other spacing, with a field of a later version, by a person and by the folder.
  const spaced = JSON.stringify({
    ...JSON.parse(from(dov.writer, approval('2'), 'after')),
    later: [1, 'é', { b: 2, a: 1e3 }],
  }).replaceAll(',', ' , ');
  await post([spaced, from(dov.writer, pinBody(), 'pin')], dov.cookie);
  const folderTitle = entry({ kind: 'shot', title: 'Lantern' }, 1, folderWriter, 'title');
  await studio.studio.store.add([written(folderTitle)], undefined);
  const seen = await pull(ana.cookie);
  expect(seen.entries.map(({ id }) => id)).toEqual(['before', 'after', 'pin', 'title']);
  const server = await ask('api/me', ana.cookie);

  await restore(copy);
  // The same server, and not what lay at the tablet's place.
  expect(await ask('api/me', ana.cookie)).toEqual(server);
  expect(await pull(ana.cookie, seen.cursor)).toMatchObject({ entries: [], at: null });
  await post([from(ana.writer, pinBody(), 'new 1')], ana.cookie);
  await post([from(ana.writer, pinBody(), 'new 2')], ana.cookie);
  await post([from(ana.writer, pinBody(), 'new 3')], ana.cookie);
  expect((await pull(ana.cookie, seen.cursor)).at).toBe('new 3');

  // The artist's tablet, which read what the director wrote, gives it back as it keeps it: parsed, and written anew.
  const lines = seen.entries.map((one, n) => sealedLine(one, seen.seals[n] ?? ''));
  expect(await post(lines, ana.cookie)).toMatchObject({
    accepted: ['before', 'after', 'pin', 'title'],
    refused: [],
  });
  const again = await pull(ana.cookie);
  const byId = (page: Page) => new Map(page.entries.map((one) => [one.id, one]));
  for (const [id, one] of byId(seen)) expect(byId(again).get(id), id).toEqual(one);
  // The seals are the same, whoever gave the entries back.
  const seals = new Map(again.entries.map(({ id }, n) => [id, again.seals[n]]));
  for (const [n, { id }] of seen.entries.entries()) expect(seals.get(id), id).toBe(seen.seals[n]);
});

test('a seal holds for its entry only: nobody makes one, or uses one for something else', async () => {
  const [dov, ana] = [await joined('Dov', 'director'), await joined('Ana', 'artist')];
  const copy = join(folder, 'copy.sqlite');
  backUp(copy);
  await post([from(dov.writer, approval('1'), 'one'), from(ana.writer, pinBody(), 'own')], dov.cookie);
  await post([from(ana.writer, pinBody(), 'own')], ana.cookie);
  const { entries, seals } = await pull(ana.cookie);
  const [[one, own], [sealOfOne = '', sealOfOwn = '']] = [entries as [Entry, Entry], seals];
  await restore(copy);
  const other = { ...one, body: approval('2') };
  for (const [given, seal] of [
    [other, sealOfOne],
    [one, sealOfOwn],
    [one, ''],
    [one, sealOfOne.slice(0, -1)],
    [{ ...one, shot: 'shot-2' }, sealOfOne],
  ] as const) {
    const { accepted, refused } = await post([sealedLine(given, seal)], ana.cookie);
    expect([accepted, refused.map(({ code }) => code)]).toEqual([[], ['writer']]);
  }
  // Without a seal that holds it is judged like any other.
  expect((await post([sealedLine(own, 'none')], ana.cookie)).accepted).toEqual(['own']);
  expect((await post([sealedLine(one, sealOfOne)], ana.cookie)).accepted).toEqual(['one']);
});

test('wiped it is another server, which takes back what it sealed only when its key was kept', async () => {
  const dov = await joined('Dov', 'director');
  await post([from(dov.writer, approval('1'), 'approved')], dov.cookie);
  const { entries, seals } = await pull(dov.cookie);
  const key = join(data(), 'seal.key');
  expect(statSync(key).mode & 0o777).toBe(0o600);
  const { server } = (await ask('api/me', dov.cookie)) as { server: string };
  const lines = entries.map((one, n) => sealedLine(one, seals[n] ?? ''));

  await studio.close();
  await start('empty');
  const ana = await joined('Ana', 'artist');
  expect(((await ask('api/me', ana.cookie)) as { server: string }).server).not.toBe(server);
  expect((await post(lines, ana.cookie)).refused.map(({ code }) => code)).toEqual(['writer']);
  // Of its writer's it comes back all the same.
  const again = await joined('Dov', 'director');
  expect((await post(lines, again.cookie)).accepted).toEqual(['approved']);

  await studio.close();
  rmSync(data('empty'), { recursive: true });
  cpSync(key, join(data('empty'), 'seal.key'));
  await start('empty');
  const { cookie } = await joined('Ana', 'artist');
  expect((await post(lines, cookie)).accepted).toEqual(['approved']);
});

test('a key that is none is told, and never replaced by itself', async () => {
  await studio.close();
  const key = join(data(), 'seal.key');
  writeFileSync(key, '');
  await expect(openSeal(data())).rejects.toThrow(/seal\.key is not the key.*backup/);
  expect(readFileSync(key)).toHaveLength(0);
  rmSync(key);
  await start();
});
