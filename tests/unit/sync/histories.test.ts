// Random histories of three tablets and a studio server that is killed, restored from an older copy and wiped, and loses
// a picture.
// Expected: the invariants of a grow-only set (Shapiro et al. 2011): in the end every side holds the same entries, and
// nothing that the server ever acknowledged is missing. `HISTORIES=300 npx vitest run tests/unit/sync/histories.test.ts`
// plays that many of a fresh seed, or of `HISTORIES_SEED`; each failure prints its seed and its shortest history.
import { cpSync, existsSync, mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import * as fc from 'fast-check';
import Database from 'libsql';
import { expect, test } from 'vitest';
import type { Entry, Person } from '../../../src/note/entry.ts';
import { folderWriter } from '../../../src/note/origin.ts';
import { shotOf as shotFrom } from '../../../src/note/shot-of.ts';
import { writtenEntries } from '../../../src/note/written.ts';
import { makePass } from '../../../src/server/passes.ts';
import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import type { Shelf } from '../../../src/shelf/types.ts';
import { imagesOf } from '../../../src/shot/images-of.ts';
import type { Drawing, Shot } from '../../../src/shot/model.ts';
import { openSync, type Sync } from '../../../src/sync/sync.ts';
import { type TestStudio, temporaryFolder, testStudio } from '../../support/studio-server.ts';
import { pinBody } from '../note/make.ts';
import { handPlatform, makeImage, picture, sha256, shelve } from './world.ts';

const { HISTORIES, HISTORIES_SEED } = process.env;
const runs = Number(HISTORIES ?? 4);
const seed = Number(HISTORIES_SEED ?? (HISTORIES === undefined ? 20_261_130 : Date.now() % 2 ** 31));
const shotId = 'shot-1';
const people: readonly Person[] = [
  { id: 'person-ana', name: 'Ana', role: 'artist' },
  { id: 'person-dov', name: 'Dov', role: 'director' },
  { id: 'person-ines', name: 'Inès', role: 'assistant' },
];

interface Tablet {
  readonly person: Person;
  readonly shelf: Shelf;
  readonly sync: Sync;
  isDown: boolean;
  cookie: string;
}

/** A studio whose data folder outlives its process, and the tablets that know it under one address. */
class World {
  readonly folder = temporaryFolder();
  readonly data = join(this.folder, 'data');
  readonly copy = join(this.folder, 'copy.sqlite');
  studio!: TestStudio;
  tablets: readonly Tablet[] = [];
  /** What the server held, and some tablet with it, when it was restored or wiped. */
  readonly acknowledged = new Set<string>();
  /** Said by the folder, before the key went that could prove it. */
  readonly unproved = new Set<string>();
  #made = 0;

  async start(): Promise<void> {
    mkdirSync(this.data, { recursive: true });
    this.studio = await testStudio({ data: this.data, needsPass: true, gatherMs: 1, lookMs: 20 });
  }
  async open(): Promise<void> {
    await this.start();
    this.tablets = people.map((person) => {
      const shelf = memoryShelf();
      const platform = handPlatform();
      platform.turn('hide');
      const self: Tablet = {
        person,
        shelf,
        isDown: false,
        cookie: '',
        sync: openSync({
          shelf,
          base: new URL('http://127.0.0.1:1/'),
          makeImage,
          // Nobody rings here: a picture's five tries, which lie 4 s apart at most, wait for no clock.
          platform: {
            ...platform,
            after: (ms, call) => (ms < 5000 ? (setTimeout(call, 1), () => undefined) : () => undefined),
          },
          fetch: async (input, init) => {
            if (self.isDown) throw new TypeError('fetch failed');
            const url = new URL(input);
            url.port = this.studio.url.port;
            const headers = { ...Object.fromEntries(new Headers(init?.headers)), cookie: self.cookie };
            const response = await fetch(url, { ...init, headers });
            self.cookie = response.headers.get('set-cookie')?.split(';')[0] ?? self.cookie;
            return response;
          },
        }),
      };
      return self;
    });
    for (const tablet of this.tablets) await this.join(tablet);
    await shelve(this.tablets[0]!.shelf, [picture(1), picture(2)], shotId);
  }
  async join({ sync, person }: Tablet): Promise<void> {
    const pass = { name: person.name, role: person.role, personId: person.id };
    const { code } = await makePass(this.studio.studio.store, pass, Date.now());
    await sync.join(code, person.id);
  }
  async close(): Promise<void> {
    for (const { sync } of this.tablets) sync.close();
    await this.studio.close();
    rmSync(this.folder, { recursive: true, force: true });
  }
  async stored(): Promise<string[]> {
    const found = await this.studio.studio.store.after(shotId, 0, 1e5);
    return found.map(({ json }) => (JSON.parse(json) as Entry).id);
  }
  async #remember(): Promise<void> {
    const stored = new Set(await this.stored());
    for (const { shelf } of this.tablets)
      for (const { id } of await shelf.entries(shotId)) if (stored.has(id)) this.acknowledged.add(id);
  }

  async do(what: (typeof ops)[number], who: number, pick: number): Promise<void> {
    const tablet = this.tablets[who]!;
    const { shelf, sync, person } = tablet;
    const author = { writer: person, newId: () => `${person.name}-${++this.#made}`, nowMs: Date.now() };
    const shot = await shelf.shot(shotId);
    const change = (to: (now: Shot) => Shot): Promise<unknown> =>
      shelf.changeShot(shotId, (now) => to(now as Shot), author);
    const onDrawing = (label: string, to: (drawing: Drawing) => Drawing): Promise<unknown> =>
      change((now) => {
        const [level] = now.levels;
        const drawings = level?.drawings ?? [];
        const one = drawings.find((drawing) => drawing.label === label) ?? { label, takes: [] };
        const others = drawings.filter((drawing) => drawing.label !== label);
        return { ...now, levels: [{ ...level!, drawings: [...others, to(one)] }] };
      });
    switch (what) {
      case 'note': {
        const latest = { wallMs: Date.now(), counter: pick };
        await shelf.addEntries(
          writtenEntries(shotId, [pinBody({ text: `${pick}` })], author, latest),
          'here',
        );
        return;
      }
      case 'title':
        // An artist's tablet offers none of these.
        if (shot && person.role !== 'artist') await change((now) => ({ ...now, title: `Title ${pick}` }));
        return;
      case 'rate':
        if (shot && person.role !== 'artist') await change((now) => ({ ...now, fps: 12 + (pick % 18) }));
        return;
      case 'take':
      case 'rough': {
        if (!shot) return;
        const { bytes, ref } = picture(10 + (pick % 40), 600 + pick);
        await shelf.keepImage(await makeImage(bytes.slice().buffer, ref));
        await onDrawing(String(1 + (pick % 3)), (drawing) =>
          what === 'rough'
            ? { ...drawing, rough: ref }
            : { ...drawing, takes: [...drawing.takes, { number: drawing.takes.length + 1, image: ref }] },
        );
        return;
      }
      case 'put up':
        if (shot) await sync.putUp(shotId).catch(() => undefined);
        return;
      case 'keep':
        await sync.keep(shotId).catch(() => undefined);
        return;
      case 'sync':
        return sync.nudge();
      case 'network':
        tablet.isDown = !tablet.isDown;
        return;
      case 'folder':
        return this.#folder(pick);
      case 'kill':
        await this.studio.close();
        return this.start();
      case 'copy': {
        rmSync(this.copy, { force: true });
        const db = new Database(join(this.data, 'studio.sqlite'));
        db.exec(`VACUUM INTO '${this.copy}'`);
        db.close();
        return;
      }
      case 'restore':
        return existsSync(this.copy) ? this.#restore() : undefined;
      case 'wipe':
        return this.#wipe(pick % 2 === 0);
      case 'lose a picture': {
        // One that its tablet holds: what nobody holds is gone.
        const images = shot ? imagesOf(shot) : [];
        const { sha256 } = images[pick % Math.max(1, images.length)] ?? {};
        if (sha256 !== undefined && (await shelf.hasImage(sha256)))
          rmSync(this.file(sha256), { force: true });
        return;
      }
    }
  }
  /** Of a picture at the server. */
  file(sha256: string): string {
    return join(this.data, 'images', sha256.slice(0, 2), sha256);
  }
  /** As the watched folder brings a picture: kept first, then said in the folder's name. */
  async #folder(pick: number): Promise<void> {
    const { bytes, ref } = picture(60 + (pick % 20), 700 + pick);
    const [tablet] = this.tablets;
    const url = new URL(`api/images/${sha256(bytes)}`, this.studio.url);
    await fetch(url, { method: 'PUT', headers: { cookie: tablet!.cookie }, body: bytes });
    const body = { kind: 'take', level: '', drawing: '2', image: ref } as const;
    const author = { writer: folderWriter, newId: () => `folder-${++this.#made}`, nowMs: Date.now() };
    const [entry] = writtenEntries(shotId, [body], author, { wallMs: 0, counter: 0 });
    if (entry) await this.studio.studio.store.add([{ entry, json: JSON.stringify(entry) }], undefined);
  }
  async #restore(): Promise<void> {
    await this.#remember();
    await this.studio.close();
    for (const end of ['', '-wal', '-shm']) rmSync(join(this.data, `studio.sqlite${end}`), { force: true });
    cpSync(this.copy, join(this.data, 'studio.sqlite'));
    await this.start();
  }
  /** Nothing is left of it, pictures included; the key only when it was kept elsewhere. */
  async #wipe(isKeyKept: boolean): Promise<void> {
    await this.#remember();
    const key = join(this.data, 'seal.key');
    const kept = join(this.folder, 'seal.key');
    await this.studio.close();
    rmSync(this.copy, { force: true });
    if (isKeyKept) cpSync(key, kept);
    else {
      for (const { shelf } of this.tablets)
        for (const { id, writer } of await shelf.entries(shotId))
          if (writer.id === folderWriter.id) this.unproved.add(id);
    }
    rmSync(this.data, { recursive: true });
    mkdirSync(this.data);
    if (isKeyKept) cpSync(kept, key);
    await this.start();
    for (const tablet of this.tablets) {
      const { isDown } = tablet;
      tablet.isDown = false;
      await this.join(tablet);
      tablet.isDown = isDown;
    }
  }

  /** Every network is there, everybody puts up what they have, and keeps what is offered. */
  async rest(): Promise<void> {
    for (const tablet of this.tablets) tablet.isDown = false;
    for (let round = 0; round < 4; round++)
      for (const { sync, shelf } of this.tablets) {
        await sync.nudge();
        if ((await shelf.shot(shotId)) && round < 2) await sync.putUp(shotId);
        else if (!(await shelf.shot(shotId))) await sync.keep(shotId).catch(() => undefined);
        await sync.nudge();
      }
    // It is looked through for lost pictures every 20 ms here, every hour elsewhere.
    const lost = async (): Promise<string[]> =>
      imagesOf(shotFrom(shotId, await this.studio.studio.store.paper(shotId)) ?? { levels: [] }).flatMap(
        ({ sha256 }) => (existsSync(this.file(sha256)) ? [] : sha256),
      );
    for (let round = 0; round < 100 && (await lost()).length > 0; round++) {
      for (const { sync } of this.tablets) await sync.nudge();
      await new Promise((done) => setTimeout(done, 20));
    }
    expect(this.unproved.size > 0 ? [] : await lost(), 'pictures lost').toEqual([]);
    for (const { sync } of this.tablets) await sync.nudge();
  }
}

const ops = [
  'note',
  'title',
  'rate',
  'take',
  'rough',
  'put up',
  'keep',
  'sync',
  'network',
  'folder',
  'kill',
  'copy',
  'restore',
  'wipe',
  'lose a picture',
] as const;
const history = fc.array(
  fc.tuple(
    fc.oneof(
      { weight: 6, arbitrary: fc.constantFrom(...ops.slice(0, 8)) },
      { weight: 2, arbitrary: fc.constantFrom(...ops.slice(8)) },
    ),
    fc.nat({ max: 2 }),
    fc.nat({ max: 97 }),
  ),
  { minLength: 12, maxLength: 40 },
);

if (HISTORIES !== undefined) console.log(`seed ${seed}`);
test('however three tablets and their studio fare, in the end all hold the same, and nothing acknowledged is missing', {
  timeout: 120_000 + runs * 30_000,
}, async () => {
  await fc.assert(
    fc.asyncProperty(history, async (given) => {
      const world = new World();
      await world.open();
      try {
        for (const [what, who, pick] of given) await world.do(what, who, pick);
        await world.rest();
        const known = (ids: readonly string[]): string[] =>
          ids.filter((id) => !world.unproved.has(id)).sort();
        const stored = await world.stored();
        const missing = [...world.acknowledged].filter((id) => !stored.includes(id));
        expect(known(missing), 'acknowledged and missing').toEqual([]);
        const shot = shotFrom(shotId, await world.studio.studio.store.paper(shotId));
        for (const { shelf, sync, person } of world.tablets) {
          const entries = await shelf.entries(shotId);
          expect(known(entries.map(({ id }) => id)), person.name).toEqual(known(stored));
          expect(sync.refused.value, person.name).toEqual([]);
          expect(
            await shelf.marked('unsent').then((all) => known(all.map(({ id }) => id))),
            person.name,
          ).toEqual([]);
          expect(sync.sign.value, person.name).toEqual({ is: 'all sent' });
          if (world.unproved.size > 0) continue;
          expect(await shelf.shot(shotId), person.name).toEqual(shot);
          expect(await shelf.lacking(shotId), person.name).toEqual([]);
        }
      } finally {
        await world.close();
      }
    }),
    { numRuns: runs, seed, endOnFailure: true },
  );
});
