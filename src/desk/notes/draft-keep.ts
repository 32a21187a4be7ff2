/**
 * Keeps what is in the works after every stroke and every letter: one write at a time, always the latest. A
 * page that goes away ends its writes to the shelf, so what the shelf does not hold by then goes to the one
 * storage that is written at once (HTML, `localStorage`), and from there back when the shot is opened again.
 */
import * as v from 'valibot';
import type { Shelf } from '../../shelf/types.ts';
import { type Draft, draftSchema } from './draft.ts';

export interface InWorks {
  readonly draft: Draft | undefined;
  /** Answers being typed, by the note they answer. */
  readonly answers: Readonly<Record<string, string>>;
}

export const nothing: InWorks = { draft: undefined, answers: {} };

const keyOf = (shotId: string): string => `notes in the works:${shotId}`;

/** `work` with the storage that is written at once; where a browser refuses it, the shelf alone must do. */
function atOnce<T>(work: (storage: Storage) => T): T | undefined {
  try {
    return work(localStorage);
  } catch {
    return undefined;
  }
}

/** What cannot be read (an older build wrote it) is left aside, part by part. */
export async function keptWorks(shelf: Shelf, shotId: string): Promise<InWorks> {
  const key = keyOf(shotId);
  const inHaste = atOnce((storage) => JSON.parse(storage.getItem(key) ?? 'null') as object | null);
  const kept = (inHaste ?? (await shelf.value(key))) as Record<string, unknown> | undefined;
  const draft = v.safeParse(draftSchema, kept?.['draft']);
  const answers = v.safeParse(v.record(v.string(), v.string()), kept?.['answers']);
  return {
    draft: draft.success ? draft.output : undefined,
    answers: answers.success ? answers.output : {},
  };
}

export interface Keeper {
  keep(works: InWorks): void;
  /** Resolves when the latest is kept; tries again when its last try failed. */
  readonly flush: () => Promise<void>;
  readonly close: () => void;
}

/** `told` hears after each write whether it worked. */
export function keepWorks(shelf: Shelf, shotId: string, told: (kept: boolean) => void): Keeper {
  const key = keyOf(shotId);
  let latest: InWorks | undefined;
  let writing: Promise<void> | undefined;
  const goes = new AbortController();
  const inHaste = (): void => {
    if (latest) atOnce((storage) => storage.setItem(key, JSON.stringify({ v: 1, ...latest })));
  };
  globalThis.addEventListener?.('pagehide', inHaste, { signal: goes.signal });

  async function write(): Promise<void> {
    while (latest) {
      const works = latest;
      try {
        await shelf.keepValue(key, { v: 1, ...works });
        if (latest === works) {
          latest = undefined;
          atOnce((storage) => storage.removeItem(key));
        }
        told(true);
      } catch {
        told(false);
        return;
      }
    }
  }
  const flush = (): Promise<void> => {
    writing ??= write().finally(() => {
      writing = undefined;
    });
    return writing;
  };
  return {
    keep(works) {
      latest = works;
      void flush();
    },
    flush,
    close: () => goes.abort(),
  };
}
