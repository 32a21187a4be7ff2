/** What every store must do, run on each of them. Expected values: the contract in `store/types.ts`, by hand. */
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Entry } from '../../../src/note/entry.ts';
import type { Pass, StudioStore } from '../../../src/server/store/types.ts';
import { entry, pinBody, written } from '../note/make.ts';

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

    test('a page ends with the entry that fills it, and has one at least', async () => {
      const long = (id: string) => entry(pinBody({ text: 'x'.repeat(1000) }), 1, undefined, id);
      await add(['a', 'b', 'c', 'd'].map(long));
      const idsOf = (chars: number, limit = 10) =>
        read(store.after('shot-1', 0, limit, chars)).map(({ id }) => id);
      const each = JSON.stringify(long('a')).length;
      expect(idsOf(1)).toEqual(['a']);
      expect(idsOf(each)).toEqual(['a']);
      expect(idsOf(each + 1)).toEqual(['a', 'b']);
      expect(idsOf(1e9)).toEqual(['a', 'b', 'c', 'd']);
      expect(idsOf(1e9, 3)).toEqual(['a', 'b', 'c']);
    });
    test('a page of many is whole, in order', async () => {
      const many = Array.from({ length: 333 }, (_, n) => entry(pinBody(), n, undefined, `m${n}`));
      await add([elsewhere, ...many]);
      expect(read(store.after('shot-1', 0, 300)).map(({ id }) => id)).toEqual(
        many.slice(0, 300).map(({ id }) => id),
      );
    });
    test('what lies at a place is told by its shot', async () => {
      await add([first, elsewhere, second]);
      const place = store.last('shot-1');
      expect(store.idAt('shot-1', place)).toBe('second');
      expect(store.idAt('shot-2', place)).toBeUndefined();
      expect(store.idAt('shot-1', place + 1)).toBeUndefined();
      expect(store.idAt('shot-1', 0)).toBeUndefined();
    });
    test('the latest stamp of a shot: the wall clock first, then the counter', async () => {
      expect(store.latestStamp('shot-1')).toEqual({ wallMs: 0, counter: 0 });
      const at = (wallMs: number, counter: number, id: string) =>
        entry(pinBody(), { wallMs, counter }, undefined, id);
      await add([at(7, 2, 'a'), at(7, 11, 'b'), at(6, 30, 'c'), elsewhere]);
      expect(store.latestStamp('shot-1')).toEqual({ wallMs: 7, counter: 11 });
    });

    test('the entries that make a shot are told from the others, with the last of their places', async () => {
      const titled = entry({ kind: 'shot', title: 'Lantern' }, 1, undefined, 'titled');
      const drawn = entry({ kind: 'drawing', level: '', drawing: '1' }, 2, undefined, 'drawn');
      await add([titled, first]);
      await add([drawn]);
      const place = store.last('shot-1');
      await add([second, elsewhere]);
      expect(store.paper('shot-1')).toEqual([titled, drawn]);
      expect([...store.paperShots()]).toEqual([['shot-1', place]]);
    });
    test('a folder is one shot’s', () => {
      store.setFolder('lantern', 'shot-1');
      store.setFolder('bridge', 'shot-2');
      store.setFolder('bridge', 'shot-3');
      expect(new Map(store.folders())).toEqual(
        new Map([
          ['lantern', 'shot-1'],
          ['bridge', 'shot-3'],
        ]),
      );
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
