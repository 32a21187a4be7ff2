/** What the server tells of its work to whoever counts it. Never ids, names, addresses or secrets. */

/** What a store tells of its commits. */
export interface StoreWatch {
  /** So many writes wait for the next commit. */
  waiting(count: number): void;
  /** A commit of so many writes that waited together; `entries` is how many it held, `ok` false where it failed. */
  committed(commit: {
    readonly writes: number;
    readonly entries: number;
    readonly seconds: number;
    readonly ok: boolean;
  }): void;
  /** Tablets were told so long after the entries had come in, here (`own`) or at another server. */
  hinted(seconds: number, own: boolean): void;
}

export interface Watch extends StoreWatch {
  /** `route` is the pattern, not the address. Without `seconds` for a stream, which has no end of its own. */
  answered(answer: {
    readonly method: string;
    readonly route: string;
    readonly status: number;
    readonly seconds: number | undefined;
  }): void;
  /** A request was turned down, or failed. */
  refused(code: string): void;
  /** What became of one posted entry: `stored`, `known`, or the code of its refusal. */
  entry(result: string): void;
  /** Bytes of a picture that was sent here (`in`) or fetched (`out`). */
  picture(bytes: number, way: 'in' | 'out'): void;
}

/** Nobody counts. */
export const unwatched: Watch = {
  waiting() {},
  committed() {},
  hinted() {},
  answered() {},
  refused() {},
  entry() {},
  picture() {},
};
