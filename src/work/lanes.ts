/** Work done a few at a time. */

/** There is nothing to do now, and there will be when another lane has ended what it is at. */
export const later = Symbol('later');

/**
 * `lanes` lanes take from `next` and do `work`, until it has no more (undefined). The first failure is the whole's: no
 * lane begins anything after it, and `signal` stops them likewise, with its reason.
 */
export async function inLanes<T>(
  lanes: number,
  next: () => T | undefined | typeof later | Promise<T | undefined | typeof later>,
  work: (item: T) => Promise<void>,
  signal?: AbortSignal,
): Promise<void> {
  let failed = false;
  let alive = lanes;
  const idle: (() => void)[] = [];
  const goOn = (): void => idle.splice(0).forEach((go) => go());
  const lane = async (): Promise<void> => {
    for (;;) {
      signal?.throwIfAborted();
      const item = await next();
      if (failed || item === undefined) break;
      if (item === later) {
        if (idle.length + 1 === alive) throw new Error('What is left to do waits for what nobody does.');
        await new Promise<void>((go) => idle.push(go));
        continue;
      }
      signal?.throwIfAborted();
      await work(item);
      goOn();
    }
    alive--;
    goOn();
  };
  signal?.addEventListener('abort', goOn, { once: true });
  try {
    await Promise.all(Array.from({ length: lanes }, lane));
  } catch (error) {
    failed = true;
    goOn();
    throw error;
  } finally {
    signal?.removeEventListener('abort', goOn);
  }
}

/** `next` of a list, from its first on. */
export function each<T>(items: Iterable<T>): () => T | undefined {
  const left = items[Symbol.iterator]();
  return () => {
    const { value, done } = left.next();
    return done ? undefined : value;
  };
}
