import { readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { describe, expect, test, vi } from 'vitest';
import type { Entry } from '../../../src/note/entry.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import { isTrueOrigin } from '../../../src/note/origin.ts';
import { shotOf } from '../../../src/note/shot-of.ts';
import { Refusal } from '../../../src/server/refusal.ts';
import { groupCommit } from '../../../src/server/store/group-commit.ts';
import { memoryStore } from '../../../src/server/store/memory-store.ts';
import { migrate } from '../../../src/server/store/migrate.ts';
import { sqliteStore } from '../../../src/server/store/sqlite-store.ts';
import { temporaryFolder } from '../../support/studio-server.ts';
import { entry, pinBody, written } from '../note/make.ts';
import { storeContract } from './store-contract.ts';

storeContract('in memory', async () => ({ store: memoryStore(), clean: () => undefined }));
storeContract('in SQLite', async () => {
  const folder = temporaryFolder();
  return {
    store: sqliteStore(join(folder, 'studio.sqlite')),
    clean: () => rmSync(folder, { recursive: true, force: true }),
  };
});

describe('the SQLite file', () => {
  test('keeps everything over a restart, and is in the journal mode promised', async () => {
    const folder = temporaryFolder();
    const file = join(folder, 'studio.sqlite');
    const store = sqliteStore(file);
    await store.add([written(entry(pinBody(), 1, undefined, 'kept'))], undefined);
    await store.add(
      [written(entry({ kind: 'drawing', level: '', drawing: '1' }, 2, undefined, 'drawn'))],
      undefined,
    );
    await store.setFolder('lantern', 'shot-1');
    const paper = new Map(await store.paperShots());
    await store.close();
    const again = sqliteStore(file);
    expect((await again.find(['kept'])).has('kept')).toBe(true);
    expect(paper.size).toBe(1);
    expect(new Map(await again.paperShots())).toEqual(paper);
    expect((await again.folders()).get('lantern')).toBe('shot-1');
    await again.close();
    const bare = new Database(file);
    expect(bare.pragma('journal_mode')).toMatchObject([{ journal_mode: 'wal' }]);
    bare.close();
    rmSync(folder, { recursive: true });
  });

  const ofFormat = (format: number, file: string): Database.Database => {
    const bare = new Database(file);
    bare.exec(readFileSync(join(import.meta.dirname, `studio-format-${format}.sql`), 'utf8'));
    return bare;
  };

  test('that another process brings up to date at the same moment is brought there once', () => {
    const folder = temporaryFolder();
    const file = join(folder, 'studio.sqlite');
    const [one, two] = [ofFormat(1, file), new Database(file)];
    // Between the look and the lock of the first comes all of the second.
    const exec = vi.spyOn(one, 'exec').mockImplementationOnce((sql) => {
      migrate(two, file);
      return one.exec(sql);
    });
    migrate(one, file);
    expect(exec).toHaveBeenCalled();
    expect(one.prepare('PRAGMA user_version').get()).toMatchObject({ user_version: 3 });
    expect(one.prepare("SELECT count(*) AS n FROM folder WHERE name = 'lantern'").get()).toMatchObject({
      n: 1,
    });
    for (const db of [one, two]) db.close();
    rmSync(folder, { recursive: true });
  });

  // Files that the code of format 1 wrote, and that of format 2 left; expected values by hand from what it was given.
  test.each([1, 2])(
    'of format %i keeps its people and notes, and its shots are made of entries that every tablet makes too',
    async (format) => {
      const folder = temporaryFolder();
      const file = join(folder, 'studio.sqlite');
      ofFormat(format, file).close();
      const store = sqliteStore(file);
      const all = async (id: string) =>
        (await store.after(id, 0, 1000)).map(({ seq, json }) => ({ seq, entry: JSON.parse(json) as Entry }));
      const lantern = shotOf('lantern-1', await store.paper('lantern-1'));
      expect(lantern).toMatchObject({
        title: 'Lantern',
        fps: 25,
        levels: [
          {
            name: 'A',
            extra: { camera: 'static' },
            drawings: [
              { label: '1', role: 'key', rough: { sha256: '1'.repeat(64) } },
              { label: '2', chart: { from: '1', to: '3', fraction: 0.25 }, takes: [] },
              { label: '3', role: 'breakdown' },
            ],
            exposures: [
              { drawing: '1', frame: 1, length: 3 },
              { drawing: '2', frame: 4, length: 1 },
              // An assistant held it for longer.
              { drawing: '3', frame: 5, length: 4 },
            ],
          },
        ],
      });
      expect(
        lantern?.levels[0]?.drawings[0]?.takes.map(({ number, image }) => [number, image.byteLength]),
      ).toEqual([
        [1, 800],
        [2, 810],
      ]);
      expect(shotOf('ferry-7', await store.paper('ferry-7'))).toMatchObject({
        title: 'Ferry',
        fpsGuessed: true,
        levels: [{ exposuresGuessed: true, drawings: [{ label: '7' }, { label: '9' }] }],
      });
      // Places stay: tablets remember them.
      expect((await all('lantern-1')).slice(0, 5).map(({ seq, entry }) => `${seq} ${entry.id}`)).toEqual([
        '1 pin-1',
        '2 reply-1',
        '3 approved-1',
        '4 role-1',
        '5 exposure-1',
      ]);
      const notes = mergeNotes((await all('lantern-1')).map(({ entry }) => entry));
      expect(notes.notes).toMatchObject([{ id: 'pin-1', replies: [{}] }]);
      expect([...notes.drawingStates.values()].map(({ state }) => state)).toEqual(['approved']);
      expect((await all('lantern-1')).slice(5).every(({ entry }) => isTrueOrigin(entry))).toBe(true);
      expect(await store.idAt('ferry-7', 7)).toBe('later-1');
      expect(new Map(await store.folders())).toEqual(new Map([['lantern', 'lantern-1']]));
      expect(await store.passes()).toMatchObject([{ name: 'Dov', role: 'director', owner: true }]);
      expect(await store.setting('server', () => 'new')).toBe('0b9e3c52-7d0e-4a51-9d0b-6a3f6f0c2a11');
      await store.close();
      rmSync(folder, { recursive: true });
    },
  );

  test('of a later version is left alone', () => {
    const folder = temporaryFolder();
    const file = join(folder, 'studio.sqlite');
    const bare = new Database(file);
    bare.exec('PRAGMA user_version = 99');
    bare.close();
    expect(() => sqliteStore(file)).toThrow(/later version.*nothing was changed/);
    rmSync(folder, { recursive: true });
  });

  test('on a full disk: one sentence, nothing stored, and it works again when there is room', async () => {
    const folder = temporaryFolder();
    const file = join(folder, 'studio.sqlite');
    // A page limit stands in for the disk's end: SQLite answers both with SQLITE_FULL.
    const store = sqliteStore(file, { maxPages: 40 });
    const big = (n: number) => written(entry(pinBody({ text: 'x'.repeat(9000) }), n, undefined, `big${n}`));
    const answers = await Promise.allSettled(
      Array.from({ length: 100 }, async (_, n) => {
        // One commit each.
        for (let turn = 0; turn < n; turn++) await new Promise(setImmediate);
        return (await store.add([big(n)], undefined))[0]?.id;
      }),
    );
    const stored = answers.flatMap((answer) => (answer.status === 'fulfilled' ? [answer.value] : []));
    const refusal: unknown = answers.flatMap((answer) =>
      answer.status === 'rejected' ? [answer.reason] : [],
    )[0];
    expect(stored.length).toBeGreaterThan(0);
    expect(refusal).toBeInstanceOf(Refusal);
    expect(refusal).toMatchObject({ status: 507, code: 'full' });
    expect((await store.after('shot-1', 0, 1000)).map(({ json }) => JSON.parse(json).id)).toEqual(stored);
    await store.close();
    const roomy = sqliteStore(file);
    expect(await roomy.add([big(999)], undefined)).toEqual([{ id: 'big999', result: 'stored' }]);
    await roomy.close();
    rmSync(folder, { recursive: true });
  });
});

describe('a shared commit', () => {
  test('takes all that waits at once, and what comes later goes with the next', async () => {
    const commits: number[][] = [];
    const group = groupCommit<number, number>((items) => {
      commits.push([...items]);
      return items.map((item) => item * 10);
    });
    expect(await Promise.all([1, 2, 3].map((n) => group.add(n)))).toEqual([10, 20, 30]);
    expect(await group.add(4)).toBe(40);
    expect(commits).toEqual([[1, 2, 3], [4]]);
  });
  test('that fails answers nobody with success, and the next works', async () => {
    let fail = true;
    const group = groupCommit<number, number>((items) => {
      if (fail) throw new Error('no');
      return items;
    });
    const answers = await Promise.allSettled([group.add(1), group.add(2)]);
    expect(answers.map(({ status }) => status)).toEqual(['rejected', 'rejected']);
    fail = false;
    expect(await group.add(3)).toBe(3);
  });
});
