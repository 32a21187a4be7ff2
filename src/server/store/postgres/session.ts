/**
 * One connection of this process that lasts: it hears commits of others, and holds the locks that end with a process. When
 * it breaks it is made again, and what was missed meanwhile is found by the poll.
 */
import type { Client } from 'pg';
import { type Database, StoreError } from './database.ts';
import { channel, locks } from './format.ts';

export interface Session {
  /** Whether this process is the one that does this; asks for it where nobody does. */
  does(duty: Duty): Promise<boolean>;
  close(): Promise<void>;
}

/** What one process does for all, as long as its session lasts. */
export type Duty = 'folder' | 'owner';

export interface SessionNeeds {
  readonly database: Database;
  /** Called with what a notification says, and with '' once the session stands again. */
  readonly heard: (payload: string) => void;
  /** How often the connection is tried. */
  readonly beatMs: number;
  readonly log: (line: string) => void;
}

/** Rejects when the first connection fails, or a move holds the database. */
export async function openSession({ database, heard, beatMs, log }: SessionNeeds): Promise<Session> {
  let client: Client | undefined;
  const duties = new Set<Duty>();
  let closed = false;
  let saidLost = false;

  const drop = (lost: Client): void => {
    if (client !== lost) return;
    client = undefined;
    duties.clear();
    lost.end().catch(() => undefined);
    if (!closed && !saidLost) log('The database’s connection for news broke; it is made again.');
    saidLost = true;
  };
  const connect = async (): Promise<void> => {
    const next = database.client();
    next.on('error', () => drop(next));
    next.on('end', () => drop(next));
    next.on('notification', ({ payload }) => heard(payload ?? ''));
    try {
      await next.connect();
      const { rows } = await next.query<{ here: boolean }>('SELECT pg_try_advisory_lock_shared($1) AS here', [
        locks.present,
      ]);
      if (!rows[0]?.here) throw new StoreError('The studio is being moved out of this database just now.');
      await next.query(`LISTEN ${channel}`);
    } catch (error) {
      await next.end().catch(() => undefined);
      throw error;
    }
    if (closed) {
      await next.end().catch(() => undefined);
      return;
    }
    client = next;
    saidLost = false;
    // What was committed while nobody listened.
    heard('');
  };
  await connect();

  let beating: Promise<void> = Promise.resolve();
  const beat = async (): Promise<void> => {
    const now = client;
    if (!now) return connect().catch(() => undefined);
    // A network that was cut tells nobody: it is asked.
    await now.query('SELECT 1').catch(() => drop(now));
  };
  const timer = setInterval(() => {
    beating = beating.then(beat);
  }, beatMs);
  timer.unref();

  return {
    async does(duty) {
      const now = client;
      if (duties.has(duty) || !now) return duties.has(duty);
      const { rows } = await now.query<{ mine: boolean }>('SELECT pg_try_advisory_lock($1) AS mine', [
        locks[duty],
      ]);
      // It may have broken while it answered, and the lock with it.
      if (client !== now || rows[0]?.mine !== true) return false;
      duties.add(duty);
      return true;
    },
    async close() {
      closed = true;
      clearInterval(timer);
      await beating;
      await client?.end().catch(() => undefined);
    },
  };
}
