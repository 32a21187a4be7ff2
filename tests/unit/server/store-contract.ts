/** What every store must do, run on each of them. Expected values: the contract in `store/types.ts`, by hand. */
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Entry } from '../../../src/note/entry.ts';
import type { News, Pass, StudioStore } from '../../../src/server/store/types.ts';
import { entry, pinBody, written } from '../note/make.ts';

const dayMs = 86_400_000;

const read = (found: readonly { json: string }[]): Entry[] =>
  found.map(({ json }) => JSON.parse(json) as Entry);

export interface Made {
  readonly store: StudioStore;
  readonly clean: () => Promise<void> | void;
}

export function storeContract(name: string, make: () => Promise<Made>): void {
  describe(`${name}: the store’s contract`, () => {
    let store: StudioStore;
    let clean: Made['clean'];
    beforeEach(async () => {
      ({ store, clean } = await make());
    });
    afterEach(async () => {
      await store.close();
      await clean();
    });

    const add = (entries: readonly Entry[], passId?: string) => store.add(entries.map(written), passId);
    const first = entry(pinBody(), 5, undefined, 'first');
    const second = entry({ kind: 'reply', to: 'first', text: 'Which side?' }, 4, undefined, 'second');
    const elsewhere = { ...entry(pinBody(), 6, undefined, 'elsewhere'), shot: 'shot-2' };

    test('what is added is found, in order of arrival, whatever its stamps say', async () => {
      await add([first, elsewhere]);
      await add([second], 'pass');
      const found = await store.after('shot-1', 0, 10);
      expect(read(found)).toEqual([first, second]);
      expect(await store.last('shot-1')).toBe(found[1]?.seq);
      expect(await store.find(['second', 'nobody'])).toEqual(new Map([['second', second]]));
    });
    test('places grow strictly, and reading goes on after any of them', async () => {
      const many = Array.from({ length: 25 }, (_, n) => entry(pinBody(), n, undefined, `n${n}`));
      for (let at = 0; at < 25; at += 5) await add(many.slice(at, at + 5));
      const ids: string[] = [];
      let place = 0;
      for (;;) {
        const page = await store.after('shot-1', place, 4);
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
      const place = await store.last('shot-1');
      const twin = { ...first, body: pinBody({ text: 'Other words.' }) };
      expect(await add([first, twin])).toEqual([
        { id: 'first', result: 'known' },
        { id: 'first', result: 'clash' },
      ]);
      expect(await store.last('shot-1')).toBe(place);
      expect(read(await store.after('shot-1', 0, 10))).toEqual([first]);
    });
    test('the same in other spacing is the same', async () => {
      await add([first]);
      const wide = { entry: first, json: JSON.stringify(first, undefined, 1) };
      expect(await store.add([wide], undefined)).toEqual([{ id: 'first', result: 'known' }]);
      expect((await store.after('shot-1', 0, 10)).map(({ json }) => json)).toEqual([JSON.stringify(first)]);
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
      expect(await store.last('nothing')).toBe(0);
      expect(await store.after('nothing', 0, 10)).toEqual([]);
      expect(await add([])).toEqual([]);
    });
    test('an entry of a later version comes back word for word', async () => {
      const later = { ...first, v: 2, id: 'later', extra: { kept: ['ä', 0.1, null] } } as never;
      await add([later]);
      expect((await store.after('shot-1', 0, 10))[0]?.json).toBe(JSON.stringify(later));
    });

    test('a page ends with the entry that fills it, and has one at least', async () => {
      const long = (id: string) => entry(pinBody({ text: 'x'.repeat(1000) }), 1, undefined, id);
      await add(['a', 'b', 'c', 'd'].map(long));
      const idsOf = async (chars: number, limit = 10) =>
        read(await store.after('shot-1', 0, limit, chars)).map(({ id }) => id);
      const each = JSON.stringify(long('a')).length;
      expect(await idsOf(1)).toEqual(['a']);
      expect(await idsOf(each)).toEqual(['a']);
      expect(await idsOf(each + 1)).toEqual(['a', 'b']);
      expect(await idsOf(1e9)).toEqual(['a', 'b', 'c', 'd']);
      expect(await idsOf(1e9, 3)).toEqual(['a', 'b', 'c']);
    });
    test('a page of many is whole, in order', async () => {
      const many = Array.from({ length: 333 }, (_, n) => entry(pinBody(), n, undefined, `m${n}`));
      await add([elsewhere, ...many]);
      expect(read(await store.after('shot-1', 0, 300)).map(({ id }) => id)).toEqual(
        many.slice(0, 300).map(({ id }) => id),
      );
    });
    test('what lies at a place is told by its shot', async () => {
      await add([first, elsewhere, second]);
      const place = await store.last('shot-1');
      expect(await store.idAt('shot-1', place)).toBe('second');
      expect(await store.idAt('shot-2', place)).toBeUndefined();
      expect(await store.idAt('shot-1', place + 1)).toBeUndefined();
      expect(await store.idAt('shot-1', 0)).toBeUndefined();
    });
    test('the latest stamp of a shot: the wall clock first, then the counter', async () => {
      expect(await store.latestStamp('shot-1')).toEqual({ wallMs: 0, counter: 0 });
      const at = (wallMs: number, counter: number, id: string) =>
        entry(pinBody(), { wallMs, counter }, undefined, id);
      await add([at(7, 2, 'a'), at(7, 11, 'b'), at(6, 30, 'c'), elsewhere]);
      expect(await store.latestStamp('shot-1')).toEqual({ wallMs: 7, counter: 11 });
    });

    test('the entries that make a shot are told from the others, with the last of their places', async () => {
      const titled = entry({ kind: 'shot', title: 'Lantern' }, 1, undefined, 'titled');
      const drawn = entry({ kind: 'drawing', level: '', drawing: '1' }, 2, undefined, 'drawn');
      await add([titled, first]);
      await add([drawn]);
      const paper = await store.last('shot-1');
      expect([...(await store.paperShots())]).toEqual([['shot-1', { paper, last: paper, lastId: 'drawn' }]]);
      await add([second, elsewhere]);
      const last = await store.last('shot-1');
      expect(last).toBeGreaterThan(paper);
      expect(await store.paper('shot-1')).toEqual([titled, drawn]);
      expect([...(await store.paperShots())]).toEqual([['shot-1', { paper, last, lastId: 'second' }]]);
    });
    test('a commit is told before it is answered, each shot with its last place', async () => {
      const told = new Map<string, News>();
      await store.onNews((news) => {
        const isPaper = news.isPaper || told.get(news.shot)?.isPaper === true;
        told.set(news.shot, { ...news, isPaper });
      });
      const drawn = entry({ kind: 'drawing', level: '', drawing: '1' }, 2, undefined, 'drawn');
      await add([drawn, first, elsewhere]);
      expect(told.get('shot-1')).toEqual({ shot: 'shot-1', last: await store.last('shot-1'), isPaper: true });
      expect(told.get('shot-2')).toEqual({
        shot: 'shot-2',
        last: await store.last('shot-2'),
        isPaper: false,
      });
      told.clear();
      await add([drawn]);
      expect(told.size).toBe(0);
    });
    test('texts and ids of any script come back as they were', async () => {
      const id = 'ノート “8” 🖊 é\\';
      const odd = { ...entry(pinBody({ text: 'a\u0000b 🖊 ا' }), 1, undefined, id), shot: 'Läufer 走る' };
      await add([odd]);
      expect((await store.after(odd.shot, 0, 10))[0]?.json).toBe(JSON.stringify(odd));
      expect([...(await store.find([id])).keys()]).toEqual([id]);
      expect(await store.idAt(odd.shot, await store.last(odd.shot))).toBe(id);
    });
    test('a folder is one shot’s', async () => {
      await store.setFolder('lantern', 'shot-1');
      await store.setFolder('bridge', 'shot-2');
      await store.setFolder('bridge', 'shot-3');
      expect(new Map(await store.folders())).toEqual(
        new Map([
          ['lantern', 'shot-1'],
          ['bridge', 'shot-3'],
        ]),
      );
    });

    /** `otherId` is 'spare'. */
    const join = async (
      codeHash: string,
      tokenHash: string,
      personId: string,
      nowMs: number,
      maxAgeMs: number,
      guesses = { from: '192.0.2.1', perAddress: 10, inAll: 100 },
    ): Promise<Pass | undefined> => {
      const answer = await store.join({
        codeHash,
        tokenHash,
        personId,
        otherId: 'spare',
        nowMs,
        maxAgeMs,
        guesses,
      });
      answers.push(typeof answer === 'string' ? answer : 'joined');
      return typeof answer === 'string' ? undefined : answer;
    };
    let answers: string[] = [];
    beforeEach(() => {
      answers = [];
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
    test('a code lets in once, and makes a person', async () => {
      await store.makePass(pass, 'code');
      expect(await join('wrong', 'token', 'person-1', 2000, dayMs)).toBeUndefined();
      const joined = { ...pass, personId: 'person-1', joinedMs: 2000 };
      expect(await join('code', 'token', 'person-1', 2000, dayMs)).toEqual(joined);
      expect(await join('code', 'token-2', 'person-2', 2001, dayMs)).toBeUndefined();
      expect(await store.passOfToken('token')).toEqual(joined);
      expect(await store.passOfToken('token-2')).toBeUndefined();
    });
    test('a code too old lets nobody in', async () => {
      await store.makePass(pass, 'code');
      expect(await join('code', 'token', 'p', 1000 + dayMs, dayMs)).toBeUndefined();
    });
    test('a pass for a person’s further tablet keeps the person', async () => {
      await store.makePass({ ...pass, personId: 'person-1' }, 'code');
      expect((await join('code', 'token', 'other', 2000, dayMs))?.personId).toBe('person-1');
    });
    test('an id that is somebody’s is given to nobody else', async () => {
      await store.makePass(pass, 'code');
      await store.makePass({ ...pass, id: 'pass-2' }, 'code-2');
      await join('code', 'token', 'person-1', 2000, dayMs);
      expect((await join('code-2', 'token-2', 'person-1', 2000, dayMs))?.personId).toBe('spare');
    });
    test('of two that use a code at one time one is let in, and of two with one id one has it', async () => {
      for (const n of [1, 2, 3]) await store.makePass({ ...pass, id: `pass-${n}` }, `code-${n}`);
      const joined = await Promise.all(
        [1, 1, 2, 3].map((n, k) => join(`code-${n}`, `token-${k}`, 'person-1', 2000, dayMs)),
      );
      const people = joined.flatMap((one) => one?.personId ?? []);
      expect(people.sort()).toEqual(['person-1', 'spare', 'spare']);
    });
    test('a revoked pass lets nobody in, before or after joining', async () => {
      await store.makePass(pass, 'code');
      await store.makePass({ ...pass, id: 'pass-2' }, 'code-2');
      await join('code', 'token', 'person-1', 2000, dayMs);
      expect(await store.revokePass('pass-1', 3000)).toBe(true);
      expect(await store.revokePass('pass-2', 3000)).toBe(true);
      expect(await store.revokePass('pass-1', 4000)).toBe(false);
      expect(await store.revokePass('nobody', 4000)).toBe(false);
      expect(await store.passOfToken('token')).toBeUndefined();
      expect(await join('code-2', 'token-2', 'p', 3001, dayMs)).toBeUndefined();
      expect((await store.passes()).map(({ id, revokedMs }) => [id, revokedMs])).toEqual([
        ['pass-1', 3000],
        ['pass-2', 3000],
      ]);
    });

    // By hand: of three guesses that one address has, and five that all have together.
    test('wrong codes are counted, sent all at once too; then a right one waits as well, and only there', async () => {
      await store.makePass(pass, 'code');
      const from = (address: string) => ({ from: address, perAddress: 3, inAll: 5 });
      const guess = (code: string, address: string): Promise<unknown> =>
        join(code, `token of ${address}`, 'person-1', 2000, dayMs, from(address));
      await Promise.all(Array.from({ length: 6 }, () => guess('wrong', 'a')));
      expect(answers.toSorted()).toEqual([...Array(3).fill('too many'), ...Array(3).fill('wrong')]);
      answers = [];
      await guess('code', 'a');
      await guess('wrong', 'b');
      await guess('wrong', 'b');
      // Five in all are used up: one who made none has one guess, one who made some has none.
      await guess('wrong', 'b');
      await guess('wrong', 'c');
      await guess('code', 'c');
      await guess('code', 'd');
      expect(answers).toEqual(['too many', 'wrong', 'wrong', 'too many', 'wrong', 'too many', 'joined']);
    });

    test('the newest place of all shots is told', async () => {
      expect(await store.newest()).toBe(0);
      await store.add(
        ['a', 'b'].map((id) => written({ ...entry(pinBody(), 1, undefined, id), shot: `shot of ${id}` })),
        undefined,
      );
      expect(await store.newest()).toBe(2);
    });

    test('a setting is made once', async () => {
      expect(await store.setting('server', () => 'a')).toBe('a');
      expect(await store.setting('server', () => 'b')).toBe('a');
    });
    test('nothing keeps it from storing, and one process watches the folder', async () => {
      expect(await store.fault()).toBeUndefined();
      expect(await store.watchesFolder()).toBe(true);
      expect(await store.watchesFolder()).toBe(true);
      expect(await store.printsOwnerCode()).toBe(true);
    });
  });
}
