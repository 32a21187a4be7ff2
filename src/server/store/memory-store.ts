/** A store that forgets at exit: for tests, and the shortest reading of what a store must do. */
import { createHash } from 'node:crypto';
import { sameEntry } from './same-entry.ts';
import type { Added, KeptShot, Pass, StudioStore, Written } from './types.ts';

export function memoryStore(): StudioStore {
  const stored: (Written & { readonly seq: number })[] = [];
  const byId = new Map<string, Written>();
  const shots = new Map<string, KeptShot>();
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
    after: (shotId, seq, limit) =>
      stored.filter((item) => item.entry.shot === shotId && item.seq > seq).slice(0, limit),
    last: (shotId) => stored.findLast((item) => item.entry.shot === shotId)?.seq ?? 0,

    shots: () => [...shots.values()].sort((a, b) => (a.shot.id < b.shot.id ? -1 : 1)),
    shot: (id) => shots.get(id),
    keepShot(shot, folder) {
      const version = createHash('sha256').update(JSON.stringify(shot)).digest('hex').slice(0, 32);
      const kept = { shot: structuredClone(shot), folder, version };
      shots.set(shot.id, kept);
      return kept;
    },

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
