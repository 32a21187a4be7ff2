/** What servers on one database tell each other there: the functions stand in `shared-limits.ts`. */
import type { Neighbours } from '../types.ts';
import type { Database } from './database.ts';

/** `server` is this process's own name among them. */
export function neighboursIn({ query }: Database, server: string): Neighbours {
  return {
    async tellOpen(told) {
      const rows = await query<{ told: string }>('SELECT told FROM fairpeg.tell_open($1, $2) AS told', [
        server,
        told ?? null,
      ]);
      return rows.map(({ told }) => told);
    },
    async spend(spent, burst, perSecond) {
      const rows = await query<{ key: string; tokens: number }>(
        'SELECT key, tokens FROM fairpeg.spend($1, $2, $3, $4)',
        [[...spent.keys()], [...spent.values()], burst, perSecond],
      );
      return new Map(rows.map(({ key, tokens }) => [key, tokens]));
    },
  };
}
