/** Passes in PostgreSQL. */
import type { Pass, PassStore } from '../types.ts';
import type { Database } from './database.ts';

interface PassRow {
  readonly id: string;
  readonly name: string;
  readonly role: Pass['role'];
  readonly owner: boolean;
  readonly person: string | null;
  readonly made_ms: number;
  readonly joined_ms: number | null;
  readonly revoked_ms: number | null;
}

export function passesIn({ query }: Database): PassStore {
  return {
    passes: async () => (await query<PassRow>('SELECT * FROM fairpeg.pass ORDER BY made_ms, id')).map(toPass),
    async makePass(pass, codeHash) {
      await query(
        'INSERT INTO fairpeg.pass (id, name, role, owner, person, code, made_ms) VALUES ($1, $2, $3, $4, $5, $6, $7)',
        [pass.id, pass.name, pass.role, pass.owner, pass.personId ?? null, codeHash, pass.madeMs],
      );
    },
    async join({ codeHash, tokenHash, personId, otherId, nowMs, maxAgeMs, guesses }) {
      const [row] = await query<PassRow & { readonly verdict: 'joined' | 'wrong' | 'too many' }>(
        'SELECT t.verdict, (t.joined).* FROM fairpeg.try_code($1, $2, $3, $4, $5, $6, $7, $8, $9) AS t',
        [
          codeHash,
          tokenHash,
          personId,
          otherId,
          nowMs,
          nowMs - maxAgeMs,
          guesses.from,
          guesses.perAddress,
          guesses.inAll,
        ],
      );
      if (!row) return 'wrong';
      return row.verdict === 'joined' ? toPass(row) : row.verdict;
    },
    async passOfToken(tokenHash) {
      const [row] = await query<PassRow>(
        'SELECT * FROM fairpeg.pass WHERE token = $1 AND revoked_ms IS NULL',
        [tokenHash],
      );
      return row && toPass(row);
    },
    async revokePass(id, nowMs) {
      const rows = await query(
        `UPDATE fairpeg.pass SET revoked_ms = $2, token = NULL, code = NULL
         WHERE id = $1 AND revoked_ms IS NULL RETURNING id`,
        [id, nowMs],
      );
      return rows.length === 1;
    },
  };
}

function toPass(row: PassRow): Pass {
  return {
    id: row.id,
    name: row.name,
    role: row.role,
    owner: row.owner,
    personId: row.person ?? undefined,
    madeMs: row.made_ms,
    joinedMs: row.joined_ms ?? undefined,
    revokedMs: row.revoked_ms ?? undefined,
  };
}
