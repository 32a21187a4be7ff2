/** Pieces of bytes as one; a single piece is handed through. */
export function join<B extends ArrayBufferLike>(
  parts: readonly Uint8Array<B>[],
): Uint8Array<B | ArrayBuffer> {
  const [only] = parts;
  if (parts.length === 1 && only) return only;
  const all = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}
