/**
 * Joins writes that wait at the same time into one commit: the disk is asked to hold on once, not once a
 * request. While a commit runs, the requests that come in meanwhile gather for the next.
 */
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
      try {
        const results = await commit(group.map(({ item }) => item));
        for (const [index, { resolve }] of group.entries()) resolve(results[index] as R);
      } catch (error) {
        for (const { reject } of group) reject(error);
      }
    }
    running = undefined;
  };

  return {
    add: (item) =>
      new Promise((resolve, reject) => {
        waiting.push({ item, resolve, reject });
        running ??= flushAll();
      }),
    settled: async () => running,
  };
}
