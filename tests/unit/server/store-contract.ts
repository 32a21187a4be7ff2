/** What every store must do, run on each of them. Expected values: the contract in `store/types.ts`, by hand. */
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Entry } from '../../../src/note/entry.ts';
import type { Pass, StudioStore } from '../../../src/server/store/types.ts';
import { entry, pinBody, shot, written } from '../note/make.ts';

const dayMs = 86_400_000;

const read = (found: readonly { json: string }[]): Entry[] =>
  found.map(({ json }) => JSON.parse(json) as Entry);

export function storeContract(name: string, make: () => { store: StudioStore; clean: () => void }): void {
  describe(`${name}: the store’s contract`, () => {
    let store: StudioStore;
    let clean: () => void;
    beforeEach(() => {
      ({ store, clean } = make());
    });
    afterEach(() => {
      store.close();
      clean();
    });

    const add = (entries: readonly Entry[], passId?: string) => store.add(entries.map(written), passId);
    const first = entry(pinBody(), 5, undefined, 'first');
    const second = entry({ kind: 'reply', to: 'first', text: 'Which side?' }, 4, undefined, 'second');
    const elsewhere = { ...entry(pinBody(), 6, undefined, 'elsewhere'), shot: 'shot-2' };

    test('what is added is found, in order of arrival, whatever its stamps say', async () => {
      await add([first, elsewhere]);
      await add([second], 'pass');
      const found = store.after('shot-1', 0, 10);
      expect(read(found)).toEqual([first, second]);
      expect(store.last('shot-1')).toBe(found[1]?.seq);
      expect(store.find(['second', 'nobody'])).toEqual(new Map([['second', second]]));
    });
    test('places grow strictly, and reading goes on after any of them', async () => {
      const many = Array.from({ length: 25 }, (_, n) => entry(pinBody(), n, undefined, `n${n}`));
      for (let at = 0; at < 25; at += 5) await add(many.slice(at, at + 5));
      const ids: string[] = [];
      let place = 0;
      for (;;) {
        const page = store.after('shot-1', place, 4);
        if (page.length === 0) break;
        for (const { seq, json } of page) {
          expect(seq).toBeGreaterThan(place);
          place = seq;
          ids.push((JSON.parse(json) as Entry).id);
        }
      }
      expect(ids).toEqual(many.map(({ id }) => id));
    });
    test('the same again changes nothing; another with its id is a clash, and the first stays', async () => {
      await add([first]);
      const place = store.last('shot-1');
      const twin = { ...first, body: pinBody({ text: 'Other words.' }) };
      expect(await add([first, twin])).toEqual([
        { id: 'first', result: 'known' },
        { id: 'first', result: 'clash' },
      ]);
      expect(store.last('shot-1')).toBe(place);
      expect(read(store.after('shot-1', 0, 10))).toEqual([first]);
    });
    test('the same in other spacing is the same', async () => {
      await add([first]);
      const wide = { entry: first, json: JSON.stringify(first, undefined, 1) };
      expect(await store.add([wide], undefined)).toEqual([{ id: 'first', result: 'known' }]);
      expect(store.after('shot-1', 0, 10).map(({ json }) => json)).toEqual([JSON.stringify(first)]);
    });
    test('calls at one time are answered each for itself', async () => {
      const answers = await Promise.all([add([first]), add([first, second])]);
      expect(answers).toEqual([
        [{ id: 'first', result: 'stored' }],
        [
          { id: 'first', result: 'known' },
          { id: 'second', result: 'stored' },
        ],
      ]);
    });
    test('an empty shot has place 0 and no entries; adding none is fine', async () => {
      expect(store.last('nothing')).toBe(0);
      expect(store.after('nothing', 0, 10)).toEqual([]);
      expect(await add([])).toEqual([]);
    });
    test('an entry of a later version comes back word for word', async () => {
      const later = { ...first, v: 2, id: 'later', extra: { kept: ['ä', 0.1, null] } } as never;
      await add([later]);
      expect(store.after('shot-1', 0, 10)[0]?.json).toBe(JSON.stringify(later));
    });

    test('a shot is kept, replaced, and its version changes with it only', () => {
      const kept = store.keepShot(shot, 'lantern');
      expect(store.shot('shot-1')).toEqual(kept);
      expect(store.keepShot(shot, 'lantern').version).toBe(kept.version);
      const renamed = store.keepShot({ ...shot, title: 'Lantern, night' }, 'lantern');
      expect(renamed.version).not.toBe(kept.version);
      expect(store.shots()).toEqual([renamed]);
      expect(store.shot('nothing')).toBeUndefined();
    });

    const pass: Pass = {
      id: 'pass-1',
      name: 'Ana',
      role: 'artist',
      owner: false,
      personId: undefined,
      madeMs: 1000,
      joinedMs: undefined,
      revokedMs: undefined,
    };
    test('a code lets in once, and makes a person', () => {
      store.makePass(pass, 'code');
      expect(store.join('wrong', 'token', 'person-1', 2000, dayMs)).toBeUndefined();
      const joined = { ...pass, personId: 'person-1', joinedMs: 2000 };
      expect(store.join('code', 'token', 'person-1', 2000, dayMs)).toEqual(joined);
      expect(store.join('code', 'token-2', 'person-2', 2001, dayMs)).toBeUndefined();
      expect(store.passOfToken('token')).toEqual(joined);
      expect(store.passOfToken('token-2')).toBeUndefined();
    });
    test('a code too old lets nobody in', () => {
      store.makePass(pass, 'code');
      expect(store.join('code', 'token', 'p', 1000 + dayMs, dayMs)).toBeUndefined();
    });
    test('a pass for a person’s further tablet keeps the person', () => {
      store.makePass({ ...pass, personId: 'person-1' }, 'code');
      expect(store.join('code', 'token', 'other', 2000, dayMs)?.personId).toBe('person-1');
    });
    test('a revoked pass lets nobody in, before or after joining', () => {
      store.makePass(pass, 'code');
      store.makePass({ ...pass, id: 'pass-2' }, 'code-2');
      store.join('code', 'token', 'person-1', 2000, dayMs);
      expect(store.revokePass('pass-1', 3000)).toBe(true);
      expect(store.revokePass('pass-2', 3000)).toBe(true);
      expect(store.revokePass('pass-1', 4000)).toBe(false);
      expect(store.revokePass('nobody', 4000)).toBe(false);
      expect(store.passOfToken('token')).toBeUndefined();
      expect(store.join('code-2', 'token-2', 'p', 3001, dayMs)).toBeUndefined();
      expect(store.passes().map(({ id, revokedMs }) => [id, revokedMs])).toEqual([
        ['pass-1', 3000],
        ['pass-2', 3000],
      ]);
    });

    test('a setting is made once', () => {
      expect(store.setting('server', () => 'a')).toBe('a');
      expect(store.setting('server', () => 'b')).toBe('a');
    });
  });
}
