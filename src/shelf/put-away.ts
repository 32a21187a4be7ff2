/**
 * A page that its browser puts away whole (HTML, back/forward cache) and may show again. WebKit freezes it with its
 * transactions, and every other page then waits for them for ever: so nothing may be under way in it.
 */

/** Calls `away` when this page is put away, and `back` when it is shown again. Returns what stops listening. */
export function onPutAway(away: () => void, back: () => void): () => void {
  const stop = new AbortController();
  const { signal } = stop;
  // A worker has no such events: its page ends it.
  const listen = (turn: 'pagehide' | 'pageshow', call: () => void): void =>
    globalThis.addEventListener?.(
      turn,
      (event) => {
        if ((event as { readonly persisted?: boolean }).persisted) call();
      },
      { signal },
    );
  listen('pagehide', away);
  listen('pageshow', back);
  return () => stop.abort();
}

/**
 * Holds a lock for as long as this page is there and not put away; the browser lets go of it, even killed. Resolves
 * when it is held, or cannot be.
 */
export async function holdWhileHere(name: string): Promise<void> {
  // Missing without a secure context (plain HTTP in a studio's network).
  const { locks } = navigator as { readonly locks?: LockManager };
  if (!locks) return;
  let letGo: () => void = () => undefined;
  const hold = (): Promise<void> =>
    new Promise((held) => {
      const until = new Promise<void>((done) => {
        letGo = done;
      });
      locks
        .request(name, () => {
          held();
          return until;
        })
        .catch(() => held());
    });
  // WebKit takes all locks of a page that it puts away; others do not put a page away that holds one.
  onPutAway(
    () => letGo(),
    () => void hold(),
  );
  await hold();
}
