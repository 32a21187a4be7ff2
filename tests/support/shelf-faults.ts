/** Faults made inside a page, on real IndexedDB. Each returns what the test compares. */
import { isOrigin } from '../../src/note/origin.ts';
import { idbStore } from '../../src/shelf/idb-store.ts';
import { keptShelf } from '../../src/shelf/kept-shelf.ts';
import { MemoryDisk, memoryRoom, memoryTabs } from '../../src/shelf/memory-store.ts';
import { MIGRATIONS, type Migration } from '../../src/shelf/migrations.ts';
import { openShelf } from '../../src/shelf/open.ts';
import { type Health, type Shelf, ShelfError } from '../../src/shelf/types.ts';
import { putShot } from './put-shot.ts';
import { entryOf, imageOf, pictureOf, refOf, shotOf } from './shelf-contract.ts';
import { FORMAT_1 } from './shelf-format-1.ts';

const codeOf = (work: Promise<unknown>): Promise<string> =>
  work.then(
    () => 'no error',
    (error: unknown) => (error instanceof ShelfError ? error.code : String(error)),
  );

function hearHealth(shelf: Shelf): Health[] {
  const heard: Health[] = [];
  shelf.onHealth((health) => heard.push(health));
  return heard;
}

/** Puts `replace(original)` in the place of a method of the platform; returns what puts it back. */
function patch<T extends object, K extends keyof T>(
  object: T,
  method: K,
  replace: (original: T[K]) => T[K],
): () => void {
  const original = object[method];
  object[method] = replace(original);
  return () => {
    object[method] = original;
  };
}

/** The browser's own handles, as they are opened from now on. */
function watchOpening(): { readonly handles: IDBDatabase[]; readonly stop: () => void } {
  const handles: IDBDatabase[] = [];
  const stop = patch(
    IDBFactory.prototype,
    'open',
    (original) =>
      function open(this: IDBFactory, ...args) {
        const request = original.apply(this, args);
        request.addEventListener('success', () => handles.push(request.result));
        return request;
      },
  );
  return { handles, stop };
}

/** The next `times` transactions fail as WebKit's do when its storage process went away. */
function loseConnection(times: number): () => void {
  let left = times;
  return patch(
    IDBDatabase.prototype,
    'transaction',
    (original) =>
      function transaction(this: IDBDatabase, ...args) {
        if (left-- > 0) {
          throw new DOMException(
            'Connection to Indexed Database server lost. Refresh the page to try again',
            'UnknownError',
          );
        }
        return original.apply(this, args);
      },
  );
}

export async function closedHandle() {
  const watch = watchOpening();
  const shelf = await openShelf('closed handle');
  await shelf.keepValue('n', 1);
  const health = hearHealth(shelf);
  watch.handles[0]?.close();
  await shelf.keepValue('n', 2);
  watch.stop();
  return { value: await shelf.value('n'), health, opened: watch.handles.length };
}

export async function lostConnection() {
  const shelf = await openShelf('lost connection');
  await shelf.sweep();
  await shelf.keepValue('n', 1);
  const health = hearHealth(shelf);
  let mend = loseConnection(1);
  await shelf.keepValue('n', 2);
  mend();
  const afterOneLoss = await shelf.value('n');
  mend = loseConnection(Number.POSITIVE_INFINITY);
  const code = await codeOf(shelf.keepValue('n', 3));
  mend();
  await shelf.keepValue('n', 3);
  return { afterOneLoss, code, health, afterRecovery: await shelf.value('n') };
}

const shelfOf = (name: string, migrations?: readonly Migration[]): Shelf => {
  const disk = new MemoryDisk();
  return keptShelf(idbStore(name, migrations), memoryTabs(disk, 'only'), memoryRoom(disk));
};

const versionOf = async (name: string): Promise<number | undefined> =>
  (await indexedDB.databases()).find((db) => db.name === name)?.version;

async function keptInFormatOne(name: string): Promise<Shelf> {
  const shelf = shelfOf(name, MIGRATIONS.slice(0, 1));
  await shelf.keepImage(imageOf(1));
  await putShot(shelf, shotOf('s', [1]));
  return shelf;
}

export async function migrations() {
  await keptInFormatOne('migrations');
  const step =
    (name: string): Migration =>
    async (_db, records) => {
      const kept = records();
      kept.put(['value', 'ran'], [...((await kept.get<string[]>(['value', 'ran'])) ?? []), name]);
    };
  const steps = [...MIGRATIONS.slice(0, 1), step('2'), step('3')];
  await shelfOf('migrations', steps).value('ran');
  const shelf = shelfOf('migrations', [...steps, step('4')]);
  return {
    ran: await shelf.value('ran'),
    shot: (await shelf.shot('s'))?.title,
    version: await versionOf('migrations'),
  };
}

export async function failingMigration() {
  await keptInFormatOne('failing migration');
  const bad: Migration = (_db, records) => {
    records().drop(['shot', 's']);
    throw new Error('A step that fails.');
  };
  const code = await codeOf(shelfOf('failing migration', [...MIGRATIONS.slice(0, 1), bad]).shots());
  const shelf = shelfOf('failing migration', MIGRATIONS.slice(0, 1));
  return { code, shot: (await shelf.shot('s'))?.title, version: await versionOf('failing migration') };
}

export async function formatOne() {
  const db = await new Promise<IDBDatabase>((done, failed) => {
    const request = indexedDB.open('format one', 1);
    request.onupgradeneeded = () => request.result.createObjectStore('kept');
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
  await new Promise((done) => {
    const change = db.transaction('kept', 'readwrite');
    for (const [key, value] of FORMAT_1) change.objectStore('kept').put(value, [...key]);
    change.oncomplete = done;
  });
  db.close();
  const shelf = await openShelf('format one');
  const sha256 = 'a'.repeat(64);
  const flip = await shelf.picture(sha256, 'flip');
  return {
    file: [...new Uint8Array((await shelf.file(sha256)) ?? new ArrayBuffer(0))],
    flip: flip && { ...flip, data: [...flip.data] },
    shot: await shelf.shot('wind'),
    entries: (await shelf.entries('wind')).flatMap((entry) => (isOrigin(entry) ? [] : [entry.id])),
    brought: (await shelf.marked('held')).map(({ body }) => body),
    unsent: (await shelf.marked('unsent')).map((entry) => entry.id),
    desk: await shelf.deskState('wind'),
    value: await shelf.value('hand'),
  };
}

export async function olderTab() {
  const older = await keptInFormatOne('older tab');
  const newer = shelfOf('older tab', [...MIGRATIONS.slice(0, 1), () => undefined]);
  const shot = await newer.shot('s');
  return { newer: shot?.title, code: await codeOf(putShot(older, shotOf('s', [1], 'Overwritten'))) };
}

export async function fullDisk() {
  const shelf = await openShelf('full disk');
  let kept = 0;
  let refused: unknown;
  // Half a megabyte each: 24 MB are full before the fiftieth.
  while (refused === undefined && kept < 80) {
    refused = await shelf.keepImage(imageOf(kept, 500_000)).then(
      () => undefined,
      (error: unknown) => error,
    );
    if (refused === undefined) kept++;
  }
  const there = await Promise.all(Array.from({ length: kept }, (_, n) => shelf.file(refOf(n).sha256)));
  await shelf.addEntries([entryOf('e1', 's')], 'here');
  return {
    code: refused instanceof ShelfError ? refused.code : String(refused),
    message: refused instanceof Error ? refused.message : '',
    kept,
    stillThere: there.filter((file) => file?.byteLength === 500_000).length,
    unsent: (await shelf.marked('unsent')).length,
  };
}

/** Of some weight, so that no slack in the storage takes it in. */
const heavyEntry = () => entryOf('heavy', 's', 'x'.repeat(3_000_000));

export async function noRoomAtAll() {
  const shelf = await openShelf('no room');
  const health = hearHealth(shelf);
  return { code: await codeOf(shelf.addEntries([heavyEntry()], 'here')), health: health.at(-1) };
}

export async function roomAgain() {
  const shelf = await openShelf('no room');
  const health = hearHealth(shelf);
  await shelf.addEntries([heavyEntry()], 'here');
  return { health: health.at(-1), entries: (await shelf.entries('s')).length };
}

declare global {
  // Given to the page by the test.
  function keptTwenty(): Promise<void>;
}

export async function endlessIntake(): Promise<never> {
  const shelf = await openShelf('killed');
  for (const n of [1, 2, 3]) await shelf.keepImage(imageOf(n));
  await putShot(shelf, shotOf('whole', [1, 2, 3]));
  await shelf.addEntries([entryOf('e1', 'whole')], 'here');
  for (let n = 10; ; n++) {
    await shelf.keepImage({ ...imageOf(n, 40_000), flip: pictureOf(n, 801, 603, 4) });
    if (n === 30) void keptTwenty();
  }
}

export async function afterKill() {
  const shelf = await openShelf('killed');
  const store = idbStore('killed');
  await shelf.sweep();
  const [files, images, flips] = await store.read((records) =>
    Promise.all([records.keys(['file']), records.keys(['image']), records.keys(['flip'])]),
  );
  const used = new Set([1, 2, 3].map((n) => refOf(n).sha256));
  const names = (keys: readonly (readonly string[])[]): string => JSON.stringify(keys.map((key) => key[1]));
  let wholeImages = 0;
  for (const sha of used) {
    const [file, thumb, flip] = [
      await shelf.file(sha),
      await shelf.picture(sha, 'thumb'),
      await shelf.picture(sha, 'flip'),
    ];
    if (file !== undefined && thumb !== undefined && flip !== undefined) wholeImages++;
  }
  return {
    shots: (await shelf.shots()).map((shot) => shot.id),
    wholeImages,
    halfImages: names(files) === names(images) && names(files) === names(flips) ? 0 : 1,
    orphansLeft: images.filter((key) => !used.has(key[1] ?? '')).length,
    unsent: (await shelf.marked('unsent')).map((entry) => entry.id),
  };
}
