/** From format 1, where a shot was one record beside its entries, to format 2, where it is what they make. */
import { latestStamp } from '../note/clock.ts';
import type { Entry } from '../note/entry.ts';
import { originEntries } from '../note/origin.ts';
import { shotBodies } from '../note/shot-bodies.ts';
import { makesShot, shotOf } from '../note/shot-of.ts';
import type { Shot } from '../shot/model.ts';
import { lastOf } from './kept-images.ts';
import type { Records } from './store.ts';

/**
 * Every tablet and the studio say the same of the same shot, so that it becomes one. What was said of it holds as it
 * did: the entries of a shot's origin are the earliest of all.
 */
export async function sayShots(records: Records): Promise<void> {
  const [unsent, unsentShots] = await Promise.all([
    records.keys(['unsent']),
    records.all<string>(['unsent']),
  ]);
  for (const [n, key] of unsent.entries()) {
    records.drop(key);
    records.put(['unsent', unsentShots[n] ?? '', lastOf(key)], true);
  }
  for (const shot of await records.all<Shot>(['shot'])) {
    for (const entry of originEntries(shot.id, shotBodies(shot))) {
      records.put(['entry', shot.id, entry.id], entry);
      records.put(['held', shot.id, entry.id], true);
    }
  }
  const spokenOf = new Set((await records.keys(['entry'])).map(([, id]) => id ?? ''));
  for (const id of spokenOf) {
    const entries = await records.all<Entry>(['entry', id]);
    const paper = entries.filter(makesShot);
    for (const entry of paper) records.put(['paper', id, entry.id], entry);
    records.put(['clock', id], latestStamp(entries.map(({ stamp }) => stamp)));
    const shot = shotOf(id, paper);
    if (shot && (await records.get(['shot', id])) !== undefined) records.put(['shot', id], shot);
  }
}
