/** Passes pieces on, and through the hash. */
export function hashed(hash: { update(piece: Uint8Array): unknown }) {
  return async function* (pieces: AsyncIterable<Buffer>): AsyncGenerator<Buffer> {
    for await (const piece of pieces) {
      hash.update(piece);
      yield piece;
    }
  };
}
