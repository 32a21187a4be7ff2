/** Holds back who would read more bytes at once than memory should hold. */

/**
 * `enter(bytes)` resolves when what is inside and `bytes` fit `mostBytes` together, or when nothing is inside;
 * in the order of asking. Call what it resolves to when the bytes are let go.
 */
export function byteGate(mostBytes: number): (bytes: number) => Promise<() => void> {
  const waiting: { readonly bytes: number; readonly go: () => void }[] = [];
  let inside = 0;
  const next = (): void => {
    const [first] = waiting;
    if (!first || (inside > 0 && inside + first.bytes > mostBytes)) return;
    waiting.shift();
    inside += first.bytes;
    first.go();
    next();
  };
  return (bytes) =>
    new Promise((resolve) => {
      const leave = (): void => {
        inside -= bytes;
        next();
      };
      waiting.push({ bytes, go: () => resolve(leave) });
      next();
    });
}
