/** A store that forgets at exit: for tests, and the shortest reading of what a store must do. */
import { latestStamp } from '../../note/clock.ts';
import { makesShot } from '../../note/shot-of.ts';
import { sameEntry } from './same-entry.ts';
import type { Added, Pass, StudioStore, Written } from './types.ts';

export function memoryStore(): StudioStore {
  const stored: (Written & { readonly seq: number })[] = [];
  const byId = new Map<string, Written>();
  const folders = new Map<string, string>();
  const passes = new Map<string, { pass: Pass; codeHash?: string | undefined; tokenHash?: string }>();
  const settings = new Map<string, string>();

  const addOne = (written: Written): Added => {
    const { id } = written.entry;
    const known = byId.get(id);
    if (known) return { id, result: sameEntry(known.json, written.json) ? 'known' : 'clash' };
    byId.set(id, written);
    stored.push({ ...written, seq: stored.length + 1 });
    return { id, result: 'stored' };
  };

  return {
    add: (entries) => Promise.resolve(entries.map(addOne)),
    find: (ids) =>
      new Map(
        ids.flatMap((id) => {
          const known = byId.get(id);
          return known ? [[id, known.entry] as const] : [];
        }),
      ),
    after(shotId, seq, limit, chars = Number.POSITIVE_INFINITY) {
      const of = stored.filter((item) => item.entry.shot === shotId && item.seq > seq).slice(0, limit);
      let before = 0;
      const end = of.findIndex(({ json }) => {
        const isFull = before >= chars;
        before += json.length;
        return isFull;
      });
      return end < 0 ? of : of.slice(0, end);
    },
    last: (shotId) => stored.findLast((item) => item.entry.shot === shotId)?.seq ?? 0,
    idAt: (shotId, seq) => stored.find((item) => item.seq === seq && item.entry.shot === shotId)?.entry.id,
    latestStamp: (shotId) =>
      latestStamp(stored.flatMap(({ entry }) => (entry.shot === shotId ? [entry.stamp] : []))),

    paperShots: () =>
      new Map(
        stored.filter(({ entry }) => makesShot(entry)).map(({ entry, seq }) => [entry.shot, seq] as const),
      ),
    paper: (shotId) =>
      stored.flatMap(({ entry }) => (entry.shot === shotId && makesShot(entry) ? [entry] : [])),
    folders: () => new Map(folders),
    setFolder: (name, shotId) => void folders.set(name, shotId),

    passes: () => [...passes.values()].map(({ pass }) => pass),
    makePass(pass, codeHash) {
      passes.set(pass.id, { pass, codeHash });
    },
    join(codeHash, tokenHash, personId, nowMs, maxAgeMs) {
      for (const [id, held] of passes) {
        if (held.codeHash !== codeHash || held.pass.revokedMs || held.pass.madeMs <= nowMs - maxAgeMs)
          continue;
        const pass = { ...held.pass, personId: held.pass.personId ?? personId, joinedMs: nowMs };
        passes.set(id, { pass, tokenHash });
        return pass;
      }
      return undefined;
    },
    passOfToken: (tokenHash) => [...passes.values()].find((held) => held.tokenHash === tokenHash)?.pass,
    revokePass(id, nowMs) {
      const held = passes.get(id);
      if (!held || held.pass.revokedMs !== undefined) return false;
      passes.set(id, { pass: { ...held.pass, revokedMs: nowMs } });
      return true;
    },

    setting(key, make) {
      const value = settings.get(key) ?? make();
      settings.set(key, value);
      return value;
    },
    close() {},
  };
}
