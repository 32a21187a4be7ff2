/**
 * What was measured of drawings, by keys that name their images: `measure/KEY` among the shelf's records.
 * Losing one costs time only; so a failed write is no trouble of the shelf's, and they give way first.
 */
import { idbStore } from './idb-store.ts';
import type { Store } from './store.ts';

export interface KeptMeasures {
  get(key: string): Promise<unknown>;
  set(key: string, value: unknown): Promise<void>;
  /** Drops those of images that the shelf does not keep any more; resolves to how many. */
  sweep(): Promise<number>;
}

const sha256 = /^[0-9a-f]{64}$/;

export function keptMeasures(store: Store): KeptMeasures {
  return {
    get: (key) => store.read((records) => records.get(['measure', key])),
    set: (key, value) => store.write('relaxed', async (records) => records.put(['measure', key], value)),
    sweep: () =>
      store.write('relaxed', async (records) => {
        const kept = new Set((await records.keys(['image'])).map((key) => key.at(-1)));
        const stale = (await records.keys(['measure'])).filter((key) =>
          (key.at(-1) ?? '').split(':').some((part) => sha256.test(part) && !kept.has(part)),
        );
        for (const key of stale) records.drop(key);
        return stale.length;
      }),
  };
}

/** What a worker that measures needs of this tablet's shelf, without being a tab of its own. */
export interface MeasuringShelf extends KeptMeasures {
  /** The original file's bytes. */
  file(sha256: string): Promise<ArrayBuffer | undefined>;
}

export function measuringShelf(name = 'fairpeg'): MeasuringShelf {
  const store = idbStore(name);
  return {
    ...keptMeasures(store),
    file: (sha256) => store.read((records) => records.get<ArrayBuffer>(['file', sha256])),
  };
}
