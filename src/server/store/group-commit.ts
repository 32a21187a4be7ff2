/**
 * Joins writes that wait at the same time into one commit: the disk is asked to hold on once, not once a
 * request. While a commit runs, the requests that come in meanwhile gather for the next.
 */
export interface GroupCommit<T, R> {
  /** Resolves after the commit that held the item; rejects when that commit failed as a whole. */
  add(item: T): Promise<R>;
}

/** `commit` stores all items in one transaction and answers one result an item, in order, or throws. */
export function groupCommit<T, R>(commit: (items: readonly T[]) => readonly R[]): GroupCommit<T, R> {
  let waiting: { item: T; resolve: (result: R) => void; reject: (error: unknown) => void }[] = [];

  const flush = (): void => {
    const group = waiting;
    waiting = [];
    try {
      const results = commit(group.map(({ item }) => item));
      for (const [index, { resolve }] of group.entries()) resolve(results[index] as R);
    } catch (error) {
      for (const { reject } of group) reject(error);
    }
  };

  return {
    add: (item) =>
      new Promise((resolve, reject) => {
        // After the poll phase: everything that arrived in this turn of the event loop is in.
        if (waiting.length === 0) setImmediate(flush);
        waiting.push({ item, resolve, reject });
      }),
  };
}
