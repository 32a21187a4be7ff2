/** A request that is turned down, with one plain sentence for the person who sees it. */
export class Refusal extends Error {
  readonly status: number;
  /** For programs; stays the same when the sentence is reworded. */
  readonly code: string;
  readonly headers: Readonly<Record<string, string>>;

  constructor(
    status: number,
    code: string,
    sentence: string,
    headers: Readonly<Record<string, string>> = {},
  ) {
    super(sentence);
    this.name = 'Refusal';
    this.status = status;
    this.code = code;
    this.headers = headers;
  }
}

/** Whoever asks has no pass, or has one no more. */
export const noPass = (): Refusal =>
  new Refusal(401, 'pass', 'This tablet has no pass for the studio server. Type your code to join.');

/** What Node, SQLite or PostgreSQL (`disk_full`) say when there is no room left. */
const noRoom: ReadonlySet<unknown> = new Set(['ENOSPC', 'EDQUOT', 'EFBIG', 'SQLITE_FULL', '53100']);

/** A full disk becomes a `Refusal`; anything else is given back as it is. */
export function explainFullDisk(error: unknown): unknown {
  const code = (error as { code?: unknown } | null)?.code;
  if (!noRoom.has(code)) return error;
  return new Refusal(
    507,
    'full',
    'The studio server’s disk is full, so this was not stored; it stays on your tablet. Free some space on the server, and it is sent again.',
  );
}
