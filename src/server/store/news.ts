/** What a commit brought, by shot. */
import type { Entry } from '../../note/entry.ts';
import { makesShot } from '../../note/shot-of.ts';
import type { News } from './types.ts';

/** `stored` in the order of their places. */
export function newsIn(stored: readonly { readonly entry: Entry; readonly seq: number }[]): News[] {
  const news = new Map<string, News>();
  for (const { entry, seq } of stored) {
    const { shot } = entry;
    news.set(shot, { shot, last: seq, isPaper: makesShot(entry) || news.get(shot)?.isPaper === true });
  }
  return [...news.values()];
}
