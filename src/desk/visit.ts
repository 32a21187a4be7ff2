/**
 * How much decoded picture the paper may hold in this visit. A tab that takes too much dies without a word, and
 * all there is to see of it is a visit that never ended.
 */
import { holdWhileHere } from '../shelf/put-away.ts';

const usualBytes = 300e6;
/** Marks a visit that is on screen; its lock is let go by the browser, however the tab ends. */
const prefix = 'fairpeg visit ';

let asked: Promise<number> | undefined;

/** Half the usual after a visit that ended while on screen. One answer a visit. */
export function paperBudgetBytes(newId: () => string): Promise<number> {
  asked ??= beginVisit(prefix + newId()).catch(() => usualBytes);
  return asked;
}

async function beginVisit(mark: string): Promise<number> {
  const { locks } = navigator as { readonly locks?: LockManager };
  const held = new Set((await locks?.query())?.held?.map(({ name }) => name));
  const dead = Object.keys(localStorage).filter((key) => key.startsWith(prefix) && !held.has(key));
  for (const key of dead) localStorage.removeItem(key);
  void holdWhileHere(mark);
  // A tab that is hidden may be put away by the tablet for reasons of its own: that is a clean end.
  const note = (): void => {
    if (document.visibilityState === 'visible') localStorage.setItem(mark, '');
    else localStorage.removeItem(mark);
  };
  note();
  document.addEventListener('visibilitychange', note);
  addEventListener('pageshow', note);
  addEventListener('pagehide', () => localStorage.removeItem(mark));
  return dead.length > 0 ? usualBytes / 2 : usualBytes;
}
