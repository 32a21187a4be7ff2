/** Keeps what is in the works after every stroke and every letter: one write at a time, always the latest. */
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

/** What cannot be read (an older build wrote it) is left aside, part by part. */
export async function keptWorks(shelf: Shelf, shotId: string): Promise<InWorks> {
  const kept = await shelf.value<Record<string, unknown>>(keyOf(shotId));
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
}

/** `told` hears after each write whether it worked. */
export function keepWorks(shelf: Shelf, shotId: string, told: (kept: boolean) => void): Keeper {
  let latest: InWorks | undefined;
  let writing: Promise<void> | undefined;

  async function write(): Promise<void> {
    while (latest) {
      const works = latest;
      try {
        await shelf.keepValue(keyOf(shotId), { v: 1, ...works });
        if (latest === works) latest = undefined;
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
  };
}
