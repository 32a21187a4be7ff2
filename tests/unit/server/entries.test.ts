// Expected values: the rules in src/server/README.md and src/wire, by hand.
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Body, Entry, Person } from '../../../src/note/entry.ts';
import { folderWriter, originEntries } from '../../../src/note/origin.ts';
import { isTooLong, mostAheadMs, pageChars } from '../../../src/wire/entries.ts';
import { joined as joinStudio } from '../../support/ask-studio.ts';
import { type TestStudio, testStudio } from '../../support/studio-server.ts';
import { dov, entry, pinBody } from '../note/make.ts';
import { picture } from '../sync/world.ts';

const now = Date.now();
let studio: TestStudio;
const open = async (options: Parameters<typeof testStudio>[0] = {}): Promise<void> => {
  studio = await testStudio({ now: () => now, ...options });
};
afterEach(() => studio.close());

interface Page {
  entries: Entry[];
  seals: string[];
  cursor: number;
  more: boolean;
  at: string | null;
}
interface Answer {
  accepted: string[];
  refused: { id?: string; code: string; reason: string }[];
}

const postLines = async (lines: readonly string[], cookie = ''): Promise<Answer> => {
  const response = await fetch(new URL('api/entries', studio.url), {
    method: 'POST',
    headers: { 'content-type': 'application/x-ndjson', cookie },
    body: lines.join('\n'),
  });
  expect(response.status).toBe(200);
  return (await response.json()) as Answer;
};
const post = (entries: readonly unknown[], cookie?: string): Promise<Answer> =>
  postLines(
    entries.map((one) => JSON.stringify(one)),
    cookie,
  );
const page = async (query: string, cookie = ''): Promise<Page> =>
  (await (await fetch(new URL(`api/entries?${query}`, studio.url), { headers: { cookie } })).json()) as Page;
const joined = (name: string, role: Person['role']) => joinStudio(studio, name, role);
const codes = ({ refused }: Answer): string[] => refused.map(({ id, code }) => `${id}: ${code}`);

describe('one bad entry is refused alone, with its reason', () => {
  beforeEach(() => open());
  const good = (id: string): Entry => entry(pinBody(), 1, dov, id);

  test('too long, nested too deep, dated days ahead', async () => {
    const long = entry(pinBody({ text: 'short' }), 1, dov, 'long');
    const strokes = Array.from({ length: 40 }, () => ({
      colour: 'red' as const,
      widthPx: 2,
      points: Array.from({ length: 9000 }, (_, n) => 1000 + n / 8),
    }));
    const tooLong = { ...long, body: pinBody({ strokes }) };
    expect(isTooLong(JSON.stringify(tooLong))).toBe(true);
    // 40 kB of brackets: parsed without trouble, and fatal to whoever copies it.
    const nested = (id: string, depth: number): string =>
      JSON.stringify(good(id)).replace('"body"', `"extra":${'['.repeat(depth)}${']'.repeat(depth)},"body"`);
    const ahead = { ...good('ahead'), stamp: { wallMs: now + mostAheadMs + 1, counter: 0 } };
    const tomorrow = { ...good('tomorrow'), stamp: { wallMs: now + mostAheadMs, counter: 0 } };
    const answer = await postLines([
      JSON.stringify(good('first')),
      JSON.stringify(tooLong),
      nested('deep', 20_000),
      // With the entry itself a hundred, and one more.
      nested('hundred', 99),
      nested('more', 100),
      // A field of a later version beside those that are known: numbers where a note has strokes, a deep one in a stroke.
      JSON.stringify({
        ...entry({ kind: 'reply', to: 'first', text: '' }, 2, dov, 'reply'),
        body: { kind: 'reply', to: 'first', text: '', strokes: 5 },
      }),
      JSON.stringify(good('stroke')).replace(
        '"widthPx"',
        `"more":${'['.repeat(97)}${']'.repeat(97)},"widthPx"`,
      ),
      JSON.stringify(ahead),
      JSON.stringify(tomorrow),
      JSON.stringify(good('last')),
    ]);
    const taken = ['first', 'hundred', 'reply', 'tomorrow', 'last'];
    expect(answer.accepted).toEqual(taken);
    expect(codes(answer).sort()).toEqual([
      'ahead: clock',
      'deep: form',
      'long: size',
      'more: form',
      'stroke: form',
    ]);
    expect(answer.refused.find(({ id }) => id === 'ahead')?.reason).toContain('clock');
    expect((await page('shot=shot-1')).entries.map(({ id }) => id)).toEqual(taken);
  });
  // NUL ends a text in SQLite's C interface, and half a surrogate pair is no UTF-8 (Unicode, 3.9, D92).
  test.each(['nul\0', 'half\ud800', 'line\nbreak'])(
    'an id with %j, beside others in one commit',
    async (id) => {
      const shot = { ...good('shot'), shot: id };
      const answers = await Promise.all([
        post([good('a'), good(id)]),
        post([shot, good('b')]),
        post([good('c'), entry({ kind: 'reply', to: id, text: '' }, 2, dov, 'to')]),
      ]);
      expect(answers.flatMap(({ accepted }) => accepted)).toEqual(['a', 'b', 'c']);
      expect(answers.flatMap(codes).map((said) => said.split(': ')[1])).toEqual(['form', 'form', 'form']);
      expect(
        (
          await fetch(
            new URL(`api/entries?shot=${encodeURIComponent(id.replace('\ud800', '\0'))}`, studio.url),
          )
        ).status,
      ).toBe(400);
    },
  );
  test('what names a picture that is not here is early, and taken once it is', async () => {
    const { bytes, ref } = picture(3, 900);
    const take = entry({ kind: 'take', level: '', drawing: '1', image: ref }, 1, dov, 'take');
    const rough = entry({ kind: 'rough', level: '', drawing: '1', image: null }, 1, dov, 'no rough');
    const origin = originEntries('shot-1', [take.body]);
    const first = await post([take, rough, good('note'), ...origin]);
    expect(first.accepted).toEqual(['no rough', 'note']);
    expect(first.refused.map(({ code }) => code)).toEqual(['early', 'early']);
    const half = { 'content-range': 'bytes 0-399/900' };
    const put = (headers: Record<string, string>, body: Uint8Array<ArrayBuffer>) =>
      fetch(new URL(`api/images/${ref.sha256}`, studio.url), { method: 'PUT', headers, body });
    await put(half, bytes.slice(0, 400));
    expect(codes(await post([take]))).toEqual(['take: early']);
    await put({}, bytes);
    expect((await post([take, ...origin])).accepted).toHaveLength(2);
  });
  test('a withdrawal of what is refused beside it is not taken', async () => {
    const mine = { ...dov, role: 'artist' } as const;
    const pin = { ...entry(pinBody(), now + 2 * mostAheadMs, mine, 'pin') };
    const withdraw = entry({ kind: 'withdraw', to: 'pin' }, 2, mine, 'withdraw');
    expect(codes(await post([pin, withdraw]))).toEqual(['pin: clock', 'withdraw: early']);
    expect((await post([withdraw, { ...pin, stamp: { wallMs: 1, counter: 0 } }])).accepted).toEqual([
      'withdraw',
      'pin',
    ]);
  });
});

describe('a page', () => {
  beforeEach(() => open());

  test('ends where it is full, however few entries that are, and says what lies at its place', async () => {
    const text = 'x'.repeat(9000);
    const strokes = Array.from({ length: 30 }, () => ({
      colour: 'red' as const,
      widthPx: 2,
      points: Array.from({ length: 6000 }, (_, n) => n % 1000),
    }));
    const ids = Array.from({ length: 9 }, (_, n) => `n${n}`);
    for (const id of ids) await post([entry(pinBody({ text, strokes }), 1, dov, id)]);
    const seen: string[] = [];
    let [after, at, pages] = [0, null as string | null, 0];
    for (let more = true; more; pages++) {
      const found = await page(`shot=shot-1&after=${after}`);
      expect(found.at).toBe(at);
      expect(found.seals).toHaveLength(found.entries.length);
      const chars = found.entries.slice(0, -1).reduce((sum, one) => sum + JSON.stringify(one).length, 0);
      expect(chars).toBeLessThan(pageChars);
      seen.push(...found.entries.map(({ id }) => id));
      [after, at, more] = [found.cursor, found.entries.at(-1)?.id ?? at, found.more];
    }
    expect(seen).toEqual(ids);
    expect(pages).toBeGreaterThan(1);
    expect(await page(`shot=shot-1&after=${after}`)).toMatchObject({
      entries: [],
      seals: [],
      more: false,
      at,
    });
    expect(await page(`shot=shot-1&after=${after + 5}`)).toMatchObject({ entries: [], at: null });
  });
});

describe('where everyone has a pass', () => {
  beforeEach(() => open({ needsPass: true }));
  const from = (writer: Person, body: Body, id: string): Entry => entry(body, 1, writer, id);

  test('what a shot brought is taken from any pass, word for word or not at all', async () => {
    const { cookie } = await joined('Ana', 'artist');
    const [title, drawing] = originEntries('shot-1', [
      { kind: 'shot', title: 'Lantern' },
      { kind: 'drawing', level: '', drawing: '1' },
    ]) as [Entry, Entry];
    const forged = { ...title, body: { kind: 'shot', title: 'Mine' } };
    const later = { ...drawing, stamp: { wallMs: 5, counter: 1 } };
    const approves = {
      ...drawing,
      id: 'x',
      body: { kind: 'drawing state', level: '', drawing: '1', state: 'approved' },
    };
    const folder = from(folderWriter, { kind: 'shot', title: 'Mine' }, 'folder');
    expect(await post([title, drawing], cookie)).toEqual({ accepted: [title.id, drawing.id], refused: [] });
    const unknown = { ...forged, id: 'y' };
    const answer = await post([forged, later, approves, folder, unknown], cookie);
    expect(answer.accepted).toEqual([]);
    expect(codes(answer)).toEqual([
      'x: writer',
      'folder: writer',
      'y: writer',
      `${title.id}: clash`,
      `${drawing.id}: clash`,
    ]);
  });
  test('a shot is offered once its entries make a drawing, and everyone hears of it', async () => {
    const { cookie, writer } = await joined('Inès', 'assistant');
    const shots = async () =>
      (
        (await (await fetch(new URL('api/shots', studio.url), { headers: { cookie } })).json()) as {
          shots: unknown[];
        }
      ).shots;
    await post([from(writer, { kind: 'shot', title: 'Ferry', fps: 25 }, 'title')], cookie);
    expect(await shots()).toEqual([]);
    await post([from(writer, { kind: 'drawing', level: '', drawing: '1' }, 'drawing')], cookie);
    const [offered] = (await shots()) as { version: string; last: number }[];
    expect(offered).toEqual({
      id: 'shot-1',
      title: 'Ferry',
      version: '2',
      last: 2,
      lastId: 'drawing',
      drawings: 1,
      clean: 0,
      byteLength: 0,
      inFolder: false,
      lacking: [],
    });
    await post([from(writer, { kind: 'reply', to: 'title', text: '' }, 'a note')], cookie);
    expect(await shots()).toEqual([{ ...offered, last: 3, lastId: 'a note' }]);
    await post([from(writer, { kind: 'shot', title: 'Ferry at night' }, 'title 2')], cookie);
    expect(await shots()).toEqual([
      { ...offered, title: 'Ferry at night', version: '4', last: 4, lastId: 'title 2' },
    ]);
    for (const path of ['api/shots/shot-1', 'api/shots']) {
      const { status } = await fetch(new URL(path, studio.url), {
        method: 'PUT',
        headers: { cookie, 'content-type': 'application/json' },
        body: '{}',
      });
      expect([404, 405], path).toContain(status);
    }
  });
});
