/**
 * Joins writes that wait at the same time into one commit: the disk is asked to hold on once, not once a
 * request. While a commit runs, the requests that come in meanwhile gather for the next.
 */
import type { StoreWatch } from '../watch.ts';

export interface GroupCommit<T, R> {
  /** Resolves after the commit that held the item; rejects when that commit failed as a whole. */
  add(item: T): Promise<R>;
  /** Resolves when nothing waits and no commit runs. */
  settled(): Promise<void>;
}

export interface GroupLimits<T> {
  /** What an item weighs. */
  readonly weigh: (item: T) => number;
  /** A group takes no further item once it weighs so much. */
  readonly most: number;
}

/** What is told of groups. */
export interface GroupWatch<T> {
  /** So many items wait. */
  waiting(count: number): void;
  committed(items: readonly T[], seconds: number, ok: boolean): void;
}

/** What a store of entries tells of its groups. */
export function groupWatch<T extends { readonly entries: readonly unknown[] }>(
  watch: StoreWatch,
): GroupWatch<T> {
  return {
    waiting: (count) => watch.waiting(count),
    committed: (items, seconds, ok) =>
      watch.committed({
        writes: items.length,
        entries: items.reduce((sum, { entries }) => sum + entries.length, 0),
        seconds,
        ok,
      }),
  };
}

interface Waiting<T, R> {
  readonly item: T;
  readonly resolve: (result: R) => void;
  readonly reject: (error: unknown) => void;
}

/**
 * `commit` stores all items in one transaction and answers one result an item, in order, or throws or rejects. One runs
 * at a time. Without `limits` a group is all that waits.
 */
export function groupCommit<T, R>(
  commit: (items: readonly T[]) => readonly R[] | Promise<readonly R[]>,
  limits?: GroupLimits<T>,
  watch?: GroupWatch<T>,
): GroupCommit<T, R> {
  let waiting: Waiting<T, R>[] = [];
  let running: Promise<void> | undefined;

  const nextGroup = (): Waiting<T, R>[] => {
    let [weight, length] = [0, 0];
    const isFull = (): boolean => limits !== undefined && weight >= limits.most;
    for (; length < waiting.length && !isFull(); length++)
      weight += limits?.weigh((waiting[length] as Waiting<T, R>).item) ?? 0;
    const group = waiting.slice(0, length);
    waiting = waiting.slice(length);
    return group;
  };

  const flushAll = async (): Promise<void> => {
    while (waiting.length > 0) {
      // After the poll phase: everything that arrived in this turn of the event loop is in.
      await new Promise((turn) => setImmediate(turn));
      const group = nextGroup();
      watch?.waiting(waiting.length);
      const [items, startedMs] = [group.map(({ item }) => item), performance.now()];
      const told = (ok: boolean): void => watch?.committed(items, (performance.now() - startedMs) / 1000, ok);
      try {
        const results = await commit(items);
        told(true);
        for (const [index, { resolve }] of group.entries()) resolve(results[index] as R);
      } catch (error) {
        told(false);
        for (const { reject } of group) reject(error);
      }
    }
    running = undefined;
  };

  return {
    add: (item) =>
      new Promise((resolve, reject) => {
        waiting.push({ item, resolve, reject });
        watch?.waiting(waiting.length);
        running ??= flushAll();
      }),
    settled: async () => running,
  };
}
