/**
 * Scratch for measuring: typed arrays handed out and taken back, so that a hundred drawings of one size
 * cost one allocation. One workspace serves one caller at a time; arrays come uncleared.
 */
export class Workspace {
  private readonly free: (Uint8Array | Uint16Array | Int32Array)[] = [];

  /** At least `length` elements, contents undefined, until given back with `release`. */
  bytes(length: number): Uint8Array {
    return this.take(Uint8Array, length);
  }

  /** As `bytes`, 16 bit unsigned. */
  shorts(length: number): Uint16Array {
    return this.take(Uint16Array, length);
  }

  /** As `bytes`, 32 bit signed. */
  ints(length: number): Int32Array {
    return this.take(Int32Array, length);
  }

  /** Gives arrays back for the next taker. The caller must not use them again. */
  release(...arrays: (Uint8Array | Uint16Array | Int32Array)[]): void {
    this.free.push(...arrays);
  }

  private take<T extends Uint8Array | Uint16Array | Int32Array>(
    kind: new (length: number) => T,
    length: number,
  ): T {
    const at = this.free.findIndex((array) => array instanceof kind && array.length === length);
    // Another size means another shot: what was kept for the last one would only hold memory.
    if (at < 0) {
      for (let i = this.free.length - 1; i >= 0; i--) {
        if (this.free[i] instanceof kind) this.free.splice(i, 1);
      }
      return new kind(length);
    }
    return this.free.splice(at, 1)[0] as T;
  }
}
