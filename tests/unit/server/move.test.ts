// Expected: both stores hold the same, by hand and by what SQLite and PostgreSQL themselves say of their rows.
import { copyFileSync, existsSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { Client } from 'pg';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from 'vitest';
import { move } from '../../../src/server/move-command.ts';
import { postgresStore } from '../../../src/server/store/postgres/postgres-store.ts';
import { sqliteStore } from '../../../src/server/store/sqlite-store.ts';
import type { StudioStore } from '../../../src/server/store/types.ts';
import { findPostgres, type OwnPostgres, startPostgres } from '../../support/postgres.ts';
import { temporaryFolder } from '../../support/studio-server.ts';
import { entry, pinBody, written } from '../note/make.ts';

const found = findPostgres();
if ('lacking' in found) console.warn(found.lacking);

describe.skipIf('lacking' in found)('a studio that moves', () => {
  let postgres: OwnPostgres;
  let made = 0;
  let url = '';
  let data = '';
  const file = (): string => join(data, 'studio.sqlite');
  const said: string[] = [];
  /**
   * In another process the server's end lets go of its file. In this one the library holds a file that was closed until
   * its statements are collected (seen in 0.5.29), so the same goes on in a copy that nobody held.
   */
  const letGo = (): void => {
    for (const end of ['', '-wal'])
      if (existsSync(`${file()}${end}`)) {
        copyFileSync(`${file()}${end}`, `${file()}.copy`);
        renameSync(`${file()}.copy`, `${file()}${end}`);
      }
    rmSync(`${file()}-shm`, { force: true });
  };
  const command = async (way: string): Promise<number> => {
    letGo();
    try {
      return await move([way, '--data', data, '--database', url]);
    } finally {
      letGo();
    }
  };
  const toDatabase = () => command('to-database');
  const toFile = () => command('to-file');

  beforeAll(async () => {
    if ('lacking' in found) throw new Error(found.lacking);
    postgres = await startPostgres(found.programs);
  });
  afterAll(() => postgres?.end());
  beforeEach(async () => {
    url = await postgres.database(`move_${++made}`);
    data = temporaryFolder();
    said.length = 0;
    vi.spyOn(process.stdout, 'write').mockImplementation((text) => said.push(String(text)) > 0);
  });
  afterEach(() => {
    vi.restoreAllMocks();
    rmSync(data, { recursive: true, force: true });
  });

  /** People in every state, two shots, a folder, texts of any script; 250 entries, so that there are several pages. */
  async function fill(store: StudioStore): Promise<void> {
    const pass = { name: 'Ана', role: 'artist', owner: false, personId: undefined, madeMs: 1 } as const;
    for (const id of ['b', 'a', 'é', 'Z'])
      await store.makePass({ ...pass, id, joinedMs: undefined, revokedMs: undefined }, `code ${id}`);
    await store.join({
      codeHash: 'code b',
      tokenHash: 't',
      personId: 'p',
      otherId: 'o',
      nowMs: 5,
      maxAgeMs: 99,
      guesses: { from: '192.0.2.1', perAddress: 10, inAll: 100 },
    });
    await store.revokePass('Z', 7);
    await store.setting('server', () => 'the server');
    await store.setFolder('lantern é', 'shot-1');
    const odd = entry(pinBody({ text: 'a\u0000b “走る” \\ 🖊' }), 3, undefined, 'ノ 🖊');
    await store.add([{ entry: odd, json: JSON.stringify(odd, undefined, 1) }], 'b');
    await store.add([written(entry({ kind: 'shot', title: 'Lantern' }, 2, undefined, 'titled'))], undefined);
    for (let n = 0; n < 250; n++)
      await store.add(
        [written({ ...entry(pinBody(), n, undefined, `n${n}`), shot: `shot-${n % 2}` })],
        n % 3 ? 'b' : undefined,
      );
  }
  const columns = 'seq, id, shot, json, pass, received_ms';
  const inFile = (): unknown[] => {
    const db = new Database(file());
    const rows = db.prepare(`SELECT ${columns} FROM entry ORDER BY seq`).all();
    db.close();
    return rows;
  };
  const ask = async (text: string): Promise<Record<string, unknown>[]> => {
    const client = new Client(url);
    await client.connect();
    const { rows } = await client.query(text);
    await client.end();
    return rows;
  };

  test('into the database and back has all of it, at the same places, and goes on from there', async () => {
    const before = sqliteStore(file());
    await fill(before);
    const passes = await before.passes();
    const paper = await before.paperShots();
    await before.close();
    const rows = inFile();
    expect(rows).toHaveLength(252);

    expect(await toDatabase()).toBe(0);
    expect(said.join('')).toMatch(
      /^252 entries and 4 passes, each compared \(SHA-256 of the entries [\da-f]{64}\), are in/,
    );
    const there = await ask(`SELECT ${columns} FROM fairpeg.entry ORDER BY seq`);
    expect(
      there.map((row) => ({ ...row, seq: Number(row['seq']), received_ms: Number(row['received_ms']) })),
    ).toEqual(rows);
    const moved = await postgresStore(url);
    expect(await moved.passes()).toEqual(passes);
    expect(await moved.passOfToken('t')).toMatchObject({ id: 'b', personId: 'p' });
    expect(new Map(await moved.paperShots())).toEqual(new Map(paper));
    expect(await moved.latestStamp('shot-1')).toEqual({ wallMs: 249, counter: 0 });
    expect(new Map(await moved.folders())).toEqual(new Map([['lantern é', 'shot-1']]));
    expect(await moved.setting('server', () => 'another')).toBe('the server');
    await moved.add([written(entry(pinBody(), 1, undefined, 'new'))], undefined);
    expect(await moved.last('shot-1')).toBe(253);
    // While a server runs on it nothing is moved.
    await expect(toFile()).rejects.toThrow(/server runs on the database.*nothing was moved/);
    await moved.close();
    // The file says where it all went, and is not written again.
    expect(() => sqliteStore(file())).toThrow(/moved on .* to postgresql:.*nothing was changed/);

    expect(await toFile()).toBe(0);
    expect(inFile().slice(0, 252)).toEqual(rows);
    const back = sqliteStore(file());
    expect(await back.idAt('shot-1', 253)).toBe('new');
    expect(await back.passes()).toEqual(passes);
    await back.add([written(entry(pinBody(), 1, undefined, 'newer'))], undefined);
    expect(await back.last('shot-1')).toBe(254);
    await back.close();
    // What was there before is kept beside it.
    expect(readdirSync(data).filter((name) => /\.moved-\d+$/.test(name))).toHaveLength(1);
    await expect(postgresStore(url)).rejects.toThrow(/moved on .* to .*studio\.sqlite/);
  });

  test('from a file that a server has open is refused', async () => {
    const running = sqliteStore(file());
    await expect(move(['to-database', '--data', data, '--database', url])).rejects.toThrow(
      /in use\. Stop the studio server first; nothing was moved/,
    );
    await running.close();
    expect(await toDatabase()).toBe(0);
  });

  test('onto another studio is refused, either way, and both stay as they are', async () => {
    const own = sqliteStore(file());
    await own.add([written(entry(pinBody(), 1, undefined, 'own'))], undefined);
    await own.close();
    const other = await postgresStore(url);
    await other.add([written(entry(pinBody(), 1, undefined, 'other'))], undefined);
    await other.close();
    await expect(toDatabase()).rejects.toThrow(/database holds a studio already.*nothing was moved/);
    await expect(toFile()).rejects.toThrow(/studio\.sqlite holds a studio already.*nothing was moved/);
    expect((inFile() as { id: string }[]).map(({ id }) => id)).toEqual(['own']);
    expect(await ask('SELECT id FROM fairpeg.entry')).toEqual([{ id: 'other' }]);
    await sqliteStore(file()).close();
    await (await postgresStore(url)).close();
  });

  test('is broken off at an entry that came out otherwise: nothing is left there, and the source still starts', async () => {
    const store = sqliteStore(file());
    await fill(store);
    await store.close();
    await (await postgresStore(url)).close();
    await ask('DELETE FROM fairpeg.setting');
    await ask(`CREATE FUNCTION spoil() RETURNS trigger LANGUAGE plpgsql AS
      'BEGIN IF NEW.id = ''n200'' THEN NEW.json := NEW.json || '' ''; END IF; RETURN NEW; END'`);
    await ask('CREATE TRIGGER spoil BEFORE INSERT ON fairpeg.entry FOR EACH ROW EXECUTE FUNCTION spoil()');
    await expect(toDatabase()).rejects.toThrow(/Nothing was moved: entry n200/);
    expect(await ask('SELECT * FROM fairpeg.entry')).toEqual([]);
    expect(await ask('SELECT * FROM fairpeg.pass')).toEqual([]);
    await sqliteStore(file()).close();
  });

  test('from a folder without a studio says so, and makes none', async () => {
    await expect(toDatabase()).rejects.toThrow(/There is no studio at/);
    expect(existsSync(file())).toBe(false);
  });
});
