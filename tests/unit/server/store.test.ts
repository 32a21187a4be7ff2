import { rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { describe, expect, test } from 'vitest';
import { Refusal } from '../../../src/server/refusal.ts';
import { groupCommit } from '../../../src/server/store/group-commit.ts';
import { memoryStore } from '../../../src/server/store/memory-store.ts';
import { sqliteStore } from '../../../src/server/store/sqlite-store.ts';
import { temporaryFolder } from '../../support/studio-server.ts';
import { entry, pinBody, shot, written } from '../note/make.ts';
import { storeContract } from './store-contract.ts';

storeContract('in memory', () => ({ store: memoryStore(), clean: () => undefined }));
storeContract('in SQLite', () => {
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
    store.keepShot(shot, 'lantern');
    store.close();
    const again = sqliteStore(file);
    expect(again.find(['kept']).has('kept')).toBe(true);
    expect(again.shot('shot-1')?.shot).toEqual(shot);
    again.close();
    const bare = new Database(file);
    expect(bare.pragma('journal_mode')).toMatchObject([{ journal_mode: 'wal' }]);
    bare.close();
    rmSync(folder, { recursive: true });
  });

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
    expect(store.after('shot-1', 0, 1000).map(({ json }) => JSON.parse(json).id)).toEqual(stored);
    store.close();
    const roomy = sqliteStore(file);
    expect(await roomy.add([big(999)], undefined)).toEqual([{ id: 'big999', result: 'stored' }]);
    roomy.close();
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
