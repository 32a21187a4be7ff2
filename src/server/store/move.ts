/** All that one store keeps into another, and compared there row by row before it counts. */
import { createHash } from 'node:crypto';

/** An entry as it lies in a store. */
export interface EntryRow {
  readonly seq: number;
  readonly id: string;
  readonly shot: string;
  readonly json: string;
  /** The pass it came with; null where there was none. */
  readonly pass: string | null;
  readonly receivedMs: number;
  /** Whether it makes the shot. */
  readonly isPaper: boolean;
}

/** A pass as it lies in a store: what is null is not there yet. */
export interface PassRow {
  readonly id: string;
  readonly name: string;
  readonly role: string;
  readonly isOwner: boolean;
  readonly person: string | null;
  /** Hashes. */
  readonly code: string | null;
  readonly token: string | null;
  readonly madeMs: number;
  readonly joinedMs: number | null;
  readonly revokedMs: number | null;
}

/** All but the entries, each list in order of its first field. */
export interface SmallRows {
  readonly passes: readonly PassRow[];
  readonly folders: readonly { readonly name: string; readonly shot: string }[];
  readonly settings: readonly { readonly key: string; readonly value: string }[];
}

interface Side {
  /** In order of their places, from after `seq` on. */
  entries(seq: number, limit: number): Promise<readonly EntryRow[]>;
  small(): Promise<SmallRows>;
  close(): Promise<void>;
}

/** A store that nobody else uses while it is open here. */
export interface Source extends Side {
  /** From then on it refuses to be opened, and says where all of it went. */
  noteMoved(note: string): Promise<void>;
}

/** An empty store. Nothing of it stays unless `keep` was called. */
export interface Target extends Side {
  putEntries(rows: readonly EntryRow[]): Promise<void>;
  putSmall(rows: SmallRows): Promise<void>;
  keep(): Promise<void>;
}

export interface MoveResult {
  readonly entries: number;
  readonly passes: number;
  /** SHA-256 over all entries as both sides hold them, in hex. */
  readonly sha256: string;
}

const rowsAtOnce = 100;

/** Rejects before `keep` with the first row that is not the same on both sides. */
export async function moveStore(source: Source, target: Target, note: string): Promise<MoveResult> {
  for (let seq = 0; ; ) {
    const rows = await source.entries(seq, rowsAtOnce);
    if (rows.length === 0) break;
    await target.putEntries(rows);
    seq = rows.at(-1)?.seq ?? seq;
  }
  const small = await source.small();
  await target.putSmall(small);

  const hash = createHash('sha256');
  let entries = 0;
  for (let seq = 0; ; ) {
    const [wanted, got] = [await source.entries(seq, rowsAtOnce), await target.entries(seq, rowsAtOnce)];
    for (let n = 0; n < Math.max(wanted.length, got.length); n++) {
      const text = JSON.stringify(fieldsOf(wanted[n]));
      if (text !== JSON.stringify(fieldsOf(got[n]))) throw notTheSame(`entry ${(wanted[n] ?? got[n])?.id}`);
      hash.update(`${text}\n`);
    }
    if (wanted.length === 0) break;
    entries += wanted.length;
    seq = wanted.at(-1)?.seq ?? seq;
  }
  const there = await target.small();
  for (const list of ['passes', 'folders', 'settings'] as const)
    if (JSON.stringify(there[list]) !== JSON.stringify(small[list])) throw notTheSame(list);

  await target.keep();
  await source.noteMoved(note);
  return { entries, passes: small.passes.length, sha256: hash.digest('hex') };
}

/** In one order, whatever the engine gives. */
const fieldsOf = (row: EntryRow | undefined): unknown =>
  row && [row.seq, row.id, row.shot, row.json, row.pass, row.receivedMs, row.isPaper];

const notTheSame = (what: string): Error =>
  new Error(`Nothing was moved: ${what} came out otherwise than it went in. Please report this.`);
