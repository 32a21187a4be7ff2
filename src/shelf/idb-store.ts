/**
 * Records in IndexedDB. WebKit loses connections now and then (“Connection to Indexed Database server
 * lost”), and a returning tab may find its handle closed: then the handle is dropped, the database opened
 * again, and the transaction tried once more. While the page is put away there is no transaction: those under
 * way are given up, and done once it is shown again.
 */
import { promisifyRequest } from 'idb-keyval';
import { MIGRATIONS, type Migration } from './migrations.ts';
import { onPutAway } from './put-away.ts';
import type { Durability, Key, Records, Store } from './store.ts';
import { ShelfError } from './types.ts';

/** Says what a browser's storage error means. A `ShelfError` stays as it is. */
function told(cause: unknown): ShelfError {
  if (cause instanceof ShelfError) return cause;
  const name = cause instanceof DOMException ? cause.name : '';
  if (name === 'QuotaExceededError') {
    return new ShelfError(
      'full',
      'The storage of this tablet is full; what was kept before is safe: take a shot off the shelf or free storage, then try again.',
      { cause },
    );
  }
  if (name === 'VersionError') {
    return new ShelfError(
      'newer',
      'A newer Fairpeg has used this shelf; everything on it is safe: reload this tab to get the newer one.',
      { cause },
    );
  }
  if (name === 'SecurityError') {
    return new ShelfError(
      'blocked',
      'This browser does not let Fairpeg keep anything here; nothing is lost so far: allow storage for this site, or leave the private window.',
      { cause },
    );
  }
  return new ShelfError(
    'lost',
    'The tablet did not keep the last change; what was kept before is safe: leave this tab open and try again, or save waiting notes to a file.',
    { cause },
  );
}

/** The connection is to blame, not the work: these pass after opening again. A null error is a forced abort. */
const isLost = (error: unknown): boolean =>
  error === null ||
  (error instanceof DOMException &&
    (['InvalidStateError', 'UnknownError', 'AbortError', 'TransactionInactiveError'].includes(error.name) ||
      /connection.*lost/i.test(error.message)));

const under = (prefix: Key): IDBKeyRange => IDBKeyRange.bound([...prefix], [...prefix, []]);

const recordsIn = (kept: IDBObjectStore): Records => ({
  get: <T>(key: Key) => promisifyRequest<T | undefined>(kept.get([...key])),
  all: <T>(prefix: Key) => promisifyRequest<T[]>(kept.getAll(under(prefix))),
  keys: async (prefix) => (await promisifyRequest(kept.getAllKeys(under(prefix)))) as unknown as Key[],
  put: (key, value) => void kept.put(value, [...key]),
  putNew: (key, value) =>
    new Promise((done, failed) => {
      const request = kept.add(value, [...key]);
      request.onsuccess = () => done(true);
      request.onerror = (event) => {
        if (request.error?.name !== 'ConstraintError') return failed(request.error);
        // There already: no reason to give the whole transaction up.
        event.preventDefault();
        event.stopPropagation();
        done(false);
      };
    }),
  drop: (key) => void kept.delete([...key]),
});

export function idbStore(name: string, migrations: readonly Migration[] = MIGRATIONS): Store {
  let opening: Promise<IDBDatabase> | undefined;
  const underWay = new Set<IDBTransaction>();
  /** While the page is put away: resolves when it is shown again. */
  let shown: Promise<void> | undefined;
  let show: () => void = () => undefined;
  let timesAway = 0;

  function dropConnection(): void {
    const dropped = opening;
    opening = undefined;
    void dropped?.then(
      (db) => db.close(),
      () => undefined,
    );
  }

  onPutAway(
    () => {
      timesAway++;
      shown ??= new Promise((done) => {
        show = done;
      });
      for (const transaction of underWay) {
        try {
          transaction.abort();
          transaction.db.close();
        } catch {
          // Over already.
        }
      }
      dropConnection();
    },
    () => {
      shown = undefined;
      show();
    },
  );

  const open = (): Promise<IDBDatabase> =>
    new Promise((done, failed) => {
      const request = indexedDB.open(name, migrations.length);
      request.onupgradeneeded = ({ oldVersion }) => {
        const change = request.transaction;
        if (change === null) return;
        const steps = async (): Promise<void> => {
          for (const step of migrations.slice(oldVersion))
            await step(request.result, () => recordsIn(change.objectStore('kept')));
        };
        steps().catch(() => change.abort());
      };
      request.onblocked = () => {
        failed(
          new ShelfError(
            'blocked',
            'Fairpeg is open in another tab with an older version; everything is safe: close that tab, then reload this one.',
          ),
        );
      };
      request.onerror = () => failed(request.error);
      request.onsuccess = () => {
        const db = request.result;
        db.onclose = () => {
          opening = undefined;
        };
        // A newer Fairpeg in another tab wants to change the format: make way. This tab's next use is told.
        db.onversionchange = () => {
          db.close();
          opening = undefined;
        };
        done(db);
      };
    });

  const connection = (): Promise<IDBDatabase> => {
    opening ??= open();
    opening.catch(() => {
      opening = undefined;
    });
    return opening;
  };

  async function once<T>(
    mode: IDBTransactionMode,
    durability: Durability,
    work: (records: Records) => Promise<T>,
  ): Promise<T> {
    await shown;
    const db = await connection();
    const transaction = db.transaction('kept', mode, { durability });
    underWay.add(transaction);
    // Not `promisifyRequest`: a failed request bubbles up here before the transaction knows its error.
    const committed = new Promise<void>((done, failed) => {
      transaction.oncomplete = () => {
        underWay.delete(transaction);
        done();
      };
      transaction.onabort = () => {
        underWay.delete(transaction);
        failed(transaction.error);
      };
    });
    // Its failure is awaited below, or told by `work`'s own.
    committed.catch(() => undefined);
    let result: T;
    try {
      result = await work(recordsIn(transaction.objectStore('kept')));
    } catch (error) {
      try {
        transaction.abort();
      } catch {
        // Already aborted by what failed; its own error says more.
        if (transaction.error !== null) throw transaction.error;
      }
      throw error;
    }
    await committed;
    return result;
  }

  async function twice<T>(...job: Parameters<typeof once<T>>): Promise<T> {
    for (let lost = 0; ; ) {
      const before = timesAway;
      try {
        return await once(...job);
      } catch (error) {
        if (!isLost(error)) throw told(error);
        // Given up because the page was put away: that is no loss, however often.
        if (timesAway === before && ++lost > 1) throw told(error);
        dropConnection();
      }
    }
  }

  return {
    read: (work) => twice('readonly', 'relaxed', work),
    write: (durability, work) => twice('readwrite', durability, work),
  };
}
