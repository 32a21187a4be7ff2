/**
 * How fast one client may ask, over all servers of a house. Each server counts in its own memory, so that no request waits
 * for the database, and takes what was used from the bucket that all share: once a second, and as soon as one client
 * used a twentieth of a burst here. What was let through meanwhile beyond the limit is a debt that is paid back. So of one
 * client, over any time, all servers together let through at most a burst, what refills, and less than a tenth of a burst
 * a server; a client that stays below a tenth of the rate on a server is not told of at all.
 */
import { bucket, type Limits } from './limits.ts';
import type { Neighbours } from './store/types.ts';

export interface Rates {
  /** False when the client has used up what it may. */
  take(client: string, nowMs: number): boolean;
  /** Tells the others what was used here. While the database is away each server counts by itself. */
  settle(): Promise<void>;
}

export function rates(
  { requestBurst, requestsPerSecond }: Pick<Limits, 'requestBurst' | 'requestsPerSecond'>,
  neighbours: Pick<Neighbours, 'spend'> | undefined,
  now: () => number,
): Rates {
  const own = bucket(requestBurst, requestsPerSecond);
  /** Used here and not told yet. */
  let spent = new Map<string, number>();
  let settling: Promise<void> | undefined;
  const [atOnce, worthTelling] = [Math.max(1, requestBurst / 20), Math.max(1, requestsPerSecond / 10)];

  const tell = async (): Promise<void> => {
    const telling = new Map([...spent].filter(([, amount]) => amount >= worthTelling));
    spent = new Map();
    if (telling.size === 0 || !neighbours) return;
    const left = await neighbours.spend(telling, requestBurst, requestsPerSecond).catch(() => undefined);
    for (const [client, tokens] of left ?? []) own.set(client, tokens - (spent.get(client) ?? 0), now());
  };
  const settle = (): Promise<void> => {
    settling ??= tell().finally(() => {
      settling = undefined;
    });
    return settling;
  };
  return {
    take(client, nowMs) {
      const may = own.take(client, nowMs);
      if (!may || !neighbours) return may;
      const amount = (spent.get(client) ?? 0) + 1;
      spent.set(client, amount);
      if (amount >= atOnce) void settle();
      return true;
    },
    settle,
  };
}
