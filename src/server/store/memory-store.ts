/** A store that forgets at exit: for tests, and the shortest reading of what a store must do. */
import { latestStamp } from '../../note/clock.ts';
import { makesShot } from '../../note/shot-of.ts';
import { countingGuesses } from './guesses.ts';
import { newsIn } from './news.ts';
import { sameEntry } from './same-entry.ts';
import type { Added, News, PaperShot, Pass, StudioStore, Written } from './types.ts';

export function memoryStore(): StudioStore {
  const stored: (Written & { readonly seq: number })[] = [];
  const byId = new Map<string, Written>();
  const folders = new Map<string, string>();
  const passes = new Map<string, { pass: Pass; codeHash?: string | undefined; tokenHash?: string }>();
  const settings = new Map<string, string>();
  const listeners: ((news: News) => void)[] = [];

  const addOne = (written: Written): Added => {
    const { id } = written.entry;
    const known = byId.get(id);
    if (known) return { id, result: sameEntry(known.json, written.json) ? 'known' : 'clash' };
    byId.set(id, written);
    stored.push({ ...written, seq: stored.length + 1 });
    return { id, result: 'stored' };
  };
  const ofShot = (shotId: string) => stored.filter(({ entry }) => entry.shot === shotId);

  return {
    async add(entries) {
      const before = stored.length;
      const added = entries.map(addOne);
      for (const news of newsIn(stored.slice(before))) for (const tell of listeners) tell(news);
      return added;
    },
    async find(ids) {
      return new Map(
        ids.flatMap((id) => {
          const known = byId.get(id);
          return known ? [[id, known.entry] as const] : [];
        }),
      );
    },
    async after(shotId, seq, limit, chars = Number.POSITIVE_INFINITY) {
      const of = ofShot(shotId)
        .filter((item) => item.seq > seq)
        .slice(0, limit);
      let before = 0;
      const end = of.findIndex(({ json }) => {
        const isFull = before >= chars;
        before += json.length;
        return isFull;
      });
      return end < 0 ? of : of.slice(0, end);
    },
    newest: async () => stored.length,
    last: async (shotId) => ofShot(shotId).at(-1)?.seq ?? 0,
    idAt: async (shotId, seq) => ofShot(shotId).find((item) => item.seq === seq)?.entry.id,
    latestStamp: async (shotId) => latestStamp(ofShot(shotId).map(({ entry }) => entry.stamp)),
    async onNews(tell) {
      listeners.push(tell);
    },

    async paperShots() {
      const shots = new Map<string, PaperShot>();
      for (const { entry, seq } of stored) {
        const paper = makesShot(entry) ? seq : shots.get(entry.shot)?.paper;
        if (paper !== undefined) shots.set(entry.shot, { paper, last: seq, lastId: entry.id });
      }
      return shots;
    },
    paper: async (shotId) =>
      ofShot(shotId)
        .map(({ entry }) => entry)
        .filter(makesShot),
    folders: async () => new Map(folders),
    async setFolder(name, shotId) {
      folders.set(name, shotId);
    },
    watchesFolder: async () => true,
    printsOwnerCode: async () => true,

    passes: async () => [...passes.values()].map(({ pass }) => pass),
    async makePass(pass, codeHash) {
      passes.set(pass.id, { pass, codeHash });
    },
    join: countingGuesses(({ codeHash, tokenHash, personId, otherId, nowMs, maxAgeMs }) => {
      const isTaken = [...passes.values()].some(({ pass }) => pass.personId === personId);
      for (const [id, held] of passes) {
        if (held.codeHash !== codeHash || held.pass.revokedMs || held.pass.madeMs <= nowMs - maxAgeMs)
          continue;
        const pass = {
          ...held.pass,
          personId: held.pass.personId ?? (isTaken ? otherId : personId),
          joinedMs: nowMs,
        };
        passes.set(id, { pass, tokenHash });
        return pass;
      }
      return undefined;
    }),
    passOfToken: async (tokenHash) => [...passes.values()].find((held) => held.tokenHash === tokenHash)?.pass,
    async revokePass(id, nowMs) {
      const held = passes.get(id);
      if (!held || held.pass.revokedMs !== undefined) return false;
      passes.set(id, { pass: { ...held.pass, revokedMs: nowMs } });
      return true;
    },

    async setting(key, make) {
      const value = settings.get(key) ?? make();
      settings.set(key, value);
      return value;
    },
    fault: async () => undefined,
    async close() {},
  };
}
