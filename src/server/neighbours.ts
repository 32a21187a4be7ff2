/** Once a second: what this server has open and let through is told to the others of the house, and theirs heard. */
import type { OpenRequests } from './open-requests.ts';
import type { Rates } from './rates.ts';
import type { Neighbours } from './store/types.ts';

export interface NeighbourNeeds {
  readonly neighbours: Neighbours;
  readonly open: Pick<OpenRequests, 'tell' | 'hear'>;
  readonly rates: Pick<Rates, 'settle'>;
  readonly everyMs: number;
}

/** While the database is away each server's limits are its own: its requests fail then anyhow. */
export function meetNeighbours({ neighbours, open, rates, everyMs }: NeighbourNeeds): {
  close(): Promise<void>;
} {
  let told: string | undefined;
  const meet = async (): Promise<void> => {
    const now = open.tell();
    try {
      const others = await neighbours.tellOpen(now === told ? undefined : now);
      told = now;
      open.hear(others);
    } catch {
      told = undefined;
      open.hear([]);
    }
    await rates.settle();
  };
  let meeting: Promise<void> | undefined;
  const timer = setInterval(() => {
    meeting ??= meet().finally(() => {
      meeting = undefined;
    });
  }, everyMs).unref();
  return {
    async close() {
      clearInterval(timer);
      await meeting;
      // What ends with this server is nobody's any more.
      await neighbours.tellOpen('').catch(() => undefined);
    },
  };
}
