/** Connections to PostgreSQL, and what is said when it cannot be used. The address's password is never said. */
import { Client, type ClientConfig, type CustomTypesConfig, DatabaseError, Pool, types } from 'pg';
import { explainFullDisk, Refusal } from '../../refusal.ts';

export interface Database {
  /** Runs one statement. Rejects with a `Refusal` (503, code `database`) while PostgreSQL cannot be used. */
  query<R>(this: void, text: string, values?: readonly unknown[]): Promise<R[]>;
  /** A connection of its own, not yet connected: for listening, locks and transactions. */
  client(): Client;
  close(): Promise<void>;
}

/** Reads, commits and passes of one process; each process has one more that listens. */
const mostConnections = 10;
/** Above what a commit waits for those of a hundred other processes. */
const queryMs = 20_000;
const connectMs = 20_000;

/** PostgreSQL's 64-bit numbers come as texts; places and times stay far below 2^53. */
const ownTypes: CustomTypesConfig = {
  getTypeParser: (oid, format) => (oid === types.builtins.INT8 ? Number : types.getTypeParser(oid, format)),
};

/**
 * Whatever the database's defaults are: what is acknowledged lies on the disk, and each statement sees what was committed
 * before it, on which `format.ts` relies.
 */
const settings = '-c synchronous_commit=on -c default_transaction_isolation=read\\ committed';

export function openDatabase(url: string): Database {
  const config: ClientConfig = {
    connectionString: url,
    application_name: 'fairpeg',
    connectionTimeoutMillis: connectMs,
    query_timeout: queryMs,
    statement_timeout: queryMs,
    keepAlive: true,
    options: settings,
    types: ownTypes,
  };
  const pool = new Pool({ ...config, max: mostConnections });
  // One that breaks while nobody uses it is replaced at the next question.
  pool.on('error', () => undefined);
  let ended: Promise<void> | undefined;
  return {
    async query<R>(text: string, values: readonly unknown[] = []) {
      try {
        return (await pool.query(text, [...values])).rows as R[];
      } catch (error) {
        throw explainDatabase(error);
      }
    },
    client: () => new Client(config),
    close: () => (ended ??= pool.end()),
  };
}

/** Of the database's own answers: a wrong statement or value is a fault of ours, and said as one. */
const ours = /^(22|23|42)/;

/** A full disk and an unreachable database become a `Refusal`; anything else is given back as it is. */
export function explainDatabase(error: unknown): unknown {
  const full = explainFullDisk(error);
  if (full instanceof Refusal) return full;
  if (error instanceof DatabaseError && ours.test(error.code ?? '')) return error;
  const refusal = new Refusal(
    503,
    'database',
    'The studio’s database cannot be used at the moment; what is on your tablet is safe, and is sent again.',
    { 'retry-after': '5' },
  );
  refusal.cause = error;
  return refusal;
}

/** What is wrong with what the database holds, a sentence for whoever starts the server. */
export class StoreError extends Error {}

/** At the prompt: where it was looked for, and what the system said. */
export function unreachable(url: string, error: unknown): Error {
  if (error instanceof StoreError) return error;
  const cause = error instanceof Refusal ? error.cause : error;
  const what =
    cause instanceof Error ? cause.message || (cause as NodeJS.ErrnoException).code : String(cause);
  return new Error(
    `The database ${withoutPassword(url)} cannot be used (${what}). Look whether PostgreSQL runs, and at --database or DATABASE_URL.`,
    { cause },
  );
}

export function withoutPassword(url: string): string {
  // A socket's address may have a user and no host, which is none to `URL`.
  const readable = url.replace(/:\/\/[^/?#]*@/, '://');
  if (!URL.canParse(readable)) return 'that was given';
  const { protocol, host, pathname, searchParams } = new URL(readable);
  return `${protocol}//${host || (searchParams.get('host') ?? '')}${pathname}`;
}
