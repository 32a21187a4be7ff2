/**
 * What a page that goes away has not kept yet. It ends its own writes to the shelf, so this goes to the one
 * storage that is written at once (HTML, `localStorage`), and is read first when the shot is opened again.
 */

/** `work` with that storage; where a browser refuses it (private windows, no room), the shelf alone must do. */
function atOnce<T>(work: (storage: Storage) => T): T | undefined {
  try {
    return work(localStorage);
  } catch {
    return undefined;
  }
}

export interface InHaste {
  /** As it was put, unchecked; undefined when there is none. */
  readonly read: () => Record<string, unknown> | undefined;
  readonly put: (state: Readonly<Record<string, unknown>>) => void;
  /** The shelf holds the same or newer. */
  readonly drop: () => void;
}

export function inHaste(key: string): InHaste {
  return {
    read: () =>
      atOnce((storage) => {
        const state: unknown = JSON.parse(storage.getItem(key) ?? 'null');
        return typeof state === 'object' && state !== null ? { ...state } : undefined;
      }),
    put(state) {
      atOnce((storage) => storage.setItem(key, JSON.stringify(state)));
    },
    drop() {
      atOnce((storage) => storage.removeItem(key));
    },
  };
}
