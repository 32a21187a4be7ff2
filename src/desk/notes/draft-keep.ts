/**
 * Keeps what is in the works after every stroke and every letter: one write at a time, always the latest;
 * what the shelf does not hold when the page goes away, in haste.
 */
import * as v from 'valibot';
import type { Shelf } from '../../shelf/types.ts';
import { inHaste } from '../in-haste.ts';
import { type Draft, draftSchema } from './draft.ts';

export interface InWorks {
  readonly draft: Draft | undefined;
  /** Answers being typed, by the note they answer. */
  readonly answers: Readonly<Record<string, string>>;
}

export const nothing: InWorks = { draft: undefined, answers: {} };

const keyOf = (shotId: string): string => `notes in the works:${shotId}`;

/** What cannot be read (an older build wrote it) is left aside, part by part. */
export async function keptWorks(shelf: Shelf, shotId: string): Promise<InWorks> {
  const key = keyOf(shotId);
  const kept = inHaste(key).read() ?? (await shelf.value<Record<string, unknown>>(key));
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
  const haste = inHaste(key);
  const putInHaste = (): void => {
    if (latest) haste.put({ v: 1, ...latest });
  };
  globalThis.addEventListener?.('pagehide', putInHaste, { signal: goes.signal });

  async function write(): Promise<void> {
    while (latest) {
      const works = latest;
      try {
        await shelf.keepValue(key, { v: 1, ...works });
        if (latest === works) {
          latest = undefined;
          haste.drop();
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
