// Two tablets and a real server in this process, over a network the test breaks. Expected: the invariants of issue
// "nothing is lost, nothing comes twice", and counts by hand.
import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import { effect } from '@preact/signals';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { Entry, Person } from '../../../src/note/entry.ts';
import { writeNotesJson } from '../../../src/note/notes-json.ts';
import { shotOf as shotFrom } from '../../../src/note/shot-of.ts';
import { makePass } from '../../../src/server/passes.ts';
import { MemoryDisk, memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import { ShelfError } from '../../../src/shelf/types.ts';
import { imagesOf } from '../../../src/shot/images-of.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { takeNotes } from '../../../src/sync/notes-file.ts';
import { openSync } from '../../../src/sync/sync.ts';
import { author } from '../../support/put-shot.ts';
import { type TestStudio, temporaryFolder, testStudio } from '../../support/studio-server.ts';
import { ana, dov, pinBody } from '../note/make.ts';
import { makeImage, type Network, network, picture, sha256, shelve, type Tablet, tablet } from './world.ts';

const until = <T>(check: () => T | Promise<T>): Promise<T> =>
  vi.waitFor(check, { timeout: 10_000, interval: 5 });

const storedIds = async (studio: TestStudio, shot = 'shot-1'): Promise<string[]> =>
  (await studio.studio.store.after(shot, 0, 1e4)).map(({ json }) => JSON.parse(json).id);
/** The shot as the studio's entries make it. */
const atStudio = async (studio: TestStudio, id: string): Promise<Shot | undefined> =>
  shotFrom(id, await studio.studio.store.paper(id));
const hashes = (shot: Shot | undefined): string[] => (shot ? imagesOf(shot).map(({ sha256 }) => sha256) : []);

describe('without passes, on one machine', () => {
  let studio: TestStudio;
  let one: Tablet;
  let two: Tablet;
  beforeEach(async () => {
    studio = await testStudio({ heartbeatMs: 50 });
    one = tablet(studio.url, dov);
    two = tablet(studio.url, ana);
    for (const each of [one, two]) await shelve(each.shelf, [picture(1)]);
  });
  afterEach(async () => {
    one.sync.close();
    two.sync.close();
    await studio.close();
  });

  test('notes made offline on both tablets are on both, once, when there is a network', async () => {
    for (const each of [one, two]) each.net.fate = () => 'down';
    const made = [];
    for (let n = 0; n < 30; n++) made.push(await (n % 3 ? one : two).write(pinBody()));
    // The first look may have met the studio before the network went.
    await until(() => expect(['kept on this tablet', 'waiting']).toContain(one.sync.sign.value.is));
    for (const each of [one, two]) each.net.fate = () => 'through';
    await one.sync.nudge();
    await two.sync.nudge();
    await one.sync.nudge();
    const expected = made.map(({ id }) => id).sort();
    expect(await one.ids()).toEqual(expected);
    expect(await two.ids()).toEqual(expected);
    await until(() => expect(one.sync.sign.value).toEqual({ is: 'all sent' }));
    expect(await one.shelf.marked('unsent')).toEqual([]);
  });

  test('a shot taken off the shelf and kept again has all its notes again, those from here too', async () => {
    const mine = await one.write(pinBody());
    const theirs = await two.write(pinBody());
    for (const each of [one, two, one]) await each.sync.nudge();
    const [shot] = await one.shelf.shots();
    expect(await one.ids()).toEqual([mine.id, theirs.id].sort());
    await one.shelf.dropShot(shot?.id ?? '');
    expect(await one.ids()).toEqual([]);
    await shelve(one.shelf, [picture(1)]);
    await one.sync.nudge();
    expect(await one.ids()).toEqual([mine.id, theirs.id].sort());
  });

  test('a studio out of reach when the app was opened is found by itself', async () => {
    const three = tablet(studio.url, ana);
    three.net.fate = () => 'down';
    await three.sync.nudge();
    expect(three.sync.link.value).toBe('none');
    three.net.fate = () => 'through';
    await until(() => {
      three.platform.ring();
      expect(three.sync.link.value).toBe('online');
    });
    three.sync.close();
  });

  test('a note that could be written down at last is waiting before it is sent: never "all sent" in between', async () => {
    const disk = new MemoryDisk();
    const four = tablet(studio.url, ana, memoryShelf(disk));
    await shelve(four.shelf, [picture(1)]);
    await four.sync.nudge();
    const seen: string[] = [];
    const stop = effect(() => void seen.push(four.sync.sign.value.is));
    disk.fault = new ShelfError('lost', 'The disk does not answer.');
    await expect(four.write(pinBody())).rejects.toThrow(/does not answer/);
    four.net.fate = () => 'down';
    disk.fault = undefined;
    await four.write(pinBody());
    await until(() => expect(seen).toContain('waiting'));
    const turns = seen.filter((is, n) => is !== seen[n - 1]);
    expect(turns).toEqual(['all sent', 'not saved', 'waiting']);
    stop();
    four.sync.close();
  });

  test('a hint brings a note to the other tablet without a timer', async () => {
    await until(() => expect(two.net.asked).toContain('GET /api/live'));
    await two.sync.nudge();
    const { id } = await one.write(pinBody());
    await until(async () => expect(await two.ids()).toContain(id));
  });

  test('an answer that is lost, and a request delivered twice, store every note once', async () => {
    // No hint: it would show the note at the studio before that is looked at here.
    one.platform.turn('hide');
    one.net.fate = (path, init) => (path === '/api/entries' && init?.method === 'POST' ? 'lost' : 'through');
    const { id } = await one.write(pinBody());
    await one.sync.nudge();
    expect((await one.shelf.marked('unsent')).map((entry) => entry.id)).toEqual([id]);
    await until(() => expect(one.sync.sign.value).toEqual({ is: 'waiting', count: 1 }));
    expect(one.platform.laterAsked).toBeGreaterThan(0);
    one.net.fate = (path, init) => (path === '/api/entries' && init?.method === 'POST' ? 'twice' : 'through');
    await one.sync.nudge();
    expect(await one.shelf.marked('unsent')).toEqual([]);
    expect(await storedIds(studio)).toEqual([id]);
  });

  test('after failures it waits longer each time, and a turn to the front tries at once', async () => {
    await one.sync.nudge();
    one.net.fate = () => 'down';
    const waits: number[] = [];
    for (let n = 0; n < 8; n++) {
      await one.sync.nudge();
      waits.push(Math.max(...one.platform.timers.filter((ms) => ms !== 35_000)));
    }
    // Full jitter at half: ½·1000·2ⁿ⁻¹ for the nth failure, at most ½·60 000 (by hand).
    const [firstMs = 0] = waits;
    expect([500, 1000]).toContain(firstMs);
    expect(waits).toEqual(waits.map((_, n) => Math.min(30_000, firstMs * 2 ** n)));
    one.net.fate = () => 'through';
    one.platform.turn('wake');
    await until(() => expect(one.sync.link.value).toBe('online'));
  });

  test('to the back: the stream is closed; to the front: first a pull, then the stream', async () => {
    await until(() => expect(one.net.asked).toContain('GET /api/live'));
    one.platform.turn('hide');
    await until(() => expect(two.net.asked).toContain('GET /api/live'));
    await two.write(pinBody());
    await two.sync.nudge();
    const from = one.net.asked.length;
    one.platform.turn('wake');
    await until(() => expect(one.net.asked.slice(from)).toContain('GET /api/live'));
    const asked = one.net.asked.slice(from);
    expect(asked.indexOf('GET /api/entries')).toBeGreaterThan(-1);
    expect(asked.indexOf('GET /api/entries')).toBeLessThan(asked.indexOf('GET /api/live'));
  });

  test('an answer that came before its question is kept and sent again after it', async () => {
    const pin = await one.write(pinBody());
    const { id } = await one.write({ kind: 'reply', to: pin.id, text: 'Left side.' });
    await one.sync.nudge();
    await two.sync.nudge();
    expect(await two.ids()).toEqual([pin.id, id].sort());
  });

  test('more than a batch, and more than a page, arrives whole and in order', async () => {
    one.net.fate = () => 'down';
    const { stamp, ...first } = await one.write({ kind: 'reply', to: 'x', text: '0' });
    const more = Array.from({ length: 1233 }, (_, n) => ({
      ...first,
      id: `more ${n}`,
      stamp: { ...stamp, counter: n + 1 },
    }));
    await one.shelf.addEntries(more, 'here');
    one.net.fate = () => 'through';
    await one.sync.nudge();
    await two.sync.nudge();
    expect(await two.ids()).toEqual(await one.ids());
    expect(one.net.asked.filter((asked) => asked === 'POST /api/entries').length).toBeGreaterThanOrEqual(7);
  });

  test('a tablet killed while sending goes on at its next start', async () => {
    const disk = new MemoryDisk();
    const first = tablet(studio.url, dov, memoryShelf(disk));
    first.net.fate = (path, init) =>
      path === '/api/entries' && init?.method === 'POST' ? 'down' : 'through';
    const { id } = await first.write(pinBody());
    await first.sync.nudge();
    first.sync.close();
    const again = tablet(studio.url, dov, memoryShelf(disk));
    await again.sync.nudge();
    expect((await studio.studio.store.find([id])).has(id)).toBe(true);
    again.sync.close();
  });

  test('a shot put up by one tablet is offered to the other, kept there with its notes, and freshened', async () => {
    const shot = await shelve(one.shelf, [picture(11), picture(12), picture(13)], 'shot-9');
    await one.sync.putUp('shot-9');
    await two.sync.nudge();
    expect(two.sync.offered.value).toMatchObject([
      { id: 'shot-9', title: 'Lantern', drawings: 1, clean: 1, byteLength: 15_000, kept: false },
    ]);
    const seen: number[] = [];
    await two.sync.keep('shot-9', { onProgress: ({ doneImages }) => seen.push(doneImages) });
    expect(seen).toEqual([0, 1, 2, 3]);
    expect(await two.shelf.shot('shot-9')).toEqual(shot);
    const file = await two.shelf.file(picture(12).ref.sha256);
    expect(file && new Uint8Array(file)).toEqual(picture(12).bytes);
    expect(two.sync.offered.value[0]?.kept).toBe(true);
    const newer = await shelve(one.shelf, [picture(11), picture(12), picture(13), picture(14)], 'shot-9');
    await one.sync.putUp('shot-9');
    await two.sync.nudge();
    expect(await two.shelf.shot('shot-9')).toEqual(newer);
  });

  test('takes that were taken in here stay when the studio has a newer shot', async () => {
    await shelve(one.shelf, [picture(11)], 'shot-9');
    await one.sync.putUp('shot-9');
    await two.sync.nudge();
    await two.sync.keep('shot-9');
    await shelve(two.shelf, [picture(11), picture(15)], 'shot-9');
    await shelve(one.shelf, [picture(11), picture(14)], 'shot-9');
    await one.sync.putUp('shot-9');
    await two.sync.nudge();
    const drawings = (await two.shelf.shot('shot-9'))?.levels.flatMap(({ drawings }) => drawings);
    const kept = drawings?.flatMap(({ rough, takes }) => [
      ...(rough ? [rough] : []),
      ...takes.map(({ image }) => image),
    ]);
    // The studio's newer one lies on top.
    const inOrder = [11, 15, 14].map((n) => picture(n).ref.sha256);
    expect(kept?.map(({ sha256 }) => sha256)).toEqual(inOrder);
    expect(await two.shelf.file(picture(15).ref.sha256)).toBeDefined();
    // They may be put up, and who put the shot up first gets them.
    expect(one.sync.offered.value[0]?.lacksOurs).toBe(false);
    expect(two.sync.offered.value[0]?.lacksOurs).toBe(true);
    await two.sync.putUp('shot-9');
    expect(two.sync.offered.value[0]?.lacksOurs).toBe(false);
    await one.sync.nudge();
    const shot = await one.shelf.shot('shot-9');
    expect(hashes(shot)).toEqual(inOrder);
  });

  test('a title and a rate set here stay when the studio has a newer take', async () => {
    // No hint: once it has the other's title, what it shelves below would be another change of it.
    one.platform.turn('hide');
    await shelve(one.shelf, [picture(11)], 'shot-9');
    await one.sync.putUp('shot-9');
    await two.sync.nudge();
    await two.sync.keep('shot-9');
    await two.shelf.changeShot('shot-9', (now) => ({ ...(now as Shot), title: 'Lamp', fps: 25 }), author());
    await shelve(one.shelf, [picture(11), picture(14)], 'shot-9');
    await one.sync.putUp('shot-9');
    await two.sync.nudge();
    const shot = await two.shelf.shot('shot-9');
    expect(shot).toMatchObject({ title: 'Lamp', fps: 25 });
    expect(hashes(shot)).toContain(picture(14).ref.sha256);
  });

  test('who puts newer drawings up takes back no title or rate that changed at the studio meanwhile', async () => {
    await shelve(one.shelf, [picture(11)], 'shot-9');
    await one.sync.putUp('shot-9');
    await two.sync.nudge();
    await two.sync.keep('shot-9');
    // No hint, no look: two does not know of it when it puts its own up.
    two.platform.turn('hide');
    await one.shelf.changeShot('shot-9', (now) => ({ ...(now as Shot), title: 'Lamp', fps: 25 }), author());
    await one.sync.putUp('shot-9');
    await shelve(two.shelf, [picture(11), picture(15)], 'shot-9');
    await two.sync.putUp('shot-9');
    expect(await atStudio(studio, 'shot-9')).toMatchObject({ title: 'Lamp', fps: 25 });
    expect(await two.shelf.shot('shot-9')).toMatchObject({ title: 'Lamp', fps: 25 });
    expect(two.sync.offered.value[0]?.lacksOurs).toBe(false);
  });

  test('a shot that both had before they met gets the studio’s newer takes, and stays as it was named here', async () => {
    await shelve(one.shelf, [picture(11), picture(14)], 'shot-9');
    await one.sync.putUp('shot-9');
    await shelve(two.shelf, [picture(11)], 'shot-9');
    await two.shelf.changeShot('shot-9', (now) => ({ ...(now as Shot), title: 'Lamp' }), author());
    await two.sync.nudge();
    const shot = await two.shelf.shot('shot-9');
    expect(shot?.title).toBe('Lamp');
    expect(hashes(shot)).toContain(picture(14).ref.sha256);
    expect(two.sync.offered.value[0]?.lacksOurs).toBe(false);
  });

  test('a shot taken in here that the studio has already is met at once: nothing of it is offered to be put up', async () => {
    await one.sync.nudge();
    await one.sync.putUp('shot-1');
    const third = tablet(studio.url, ana);
    await until(() => expect(third.sync.offered.value).toMatchObject([{ id: 'shot-1', kept: false }]));
    await third.sync.nudge();
    await shelve(third.shelf, [picture(1)]);
    await until(() =>
      expect(third.sync.offered.value).toMatchObject([{ id: 'shot-1', kept: true, lacksOurs: false }]),
    );
    third.sync.close();
  });

  test('a shot whose picture the studio has lost keeps no other from its newer take, and has it back from who holds it', async () => {
    for (const id of ['shot-8', 'shot-9']) {
      await shelve(one.shelf, [picture(11)], id);
      await one.sync.putUp(id);
    }
    await two.sync.nudge();
    for (const id of ['shot-8', 'shot-9']) await two.sync.keep(id);
    // No hint: it looks when it is told to.
    two.platform.turn('hide');
    await shelve(one.shelf, [picture(11), picture(14)], 'shot-8');
    await shelve(one.shelf, [picture(11), picture(15)], 'shot-9');
    for (const id of ['shot-8', 'shot-9']) await one.sync.putUp(id);
    const { sha256 } = picture(14).ref;
    await rm(join(studio.folder, 'data/images', sha256.slice(0, 2), sha256));
    await two.sync.nudge();
    const has = async (id: string): Promise<string[]> => hashes(await two.shelf.shot(id));
    expect(await has('shot-9')).toContain(picture(15).ref.sha256);
    expect(await has('shot-8')).toEqual([picture(11).ref.sha256]);
    expect(two.sync.trouble.value).toMatch(/picture/);

    // Who holds it puts it up again unasked, and it comes to whoever wants it.
    await until(async () => {
      await one.sync.nudge();
      await two.sync.nudge();
      expect(await has('shot-8')).toContain(sha256);
    });
    expect(two.sync.trouble.value).toBeUndefined();
  });

  test('a picture that the studio turns down keeps no other from going up, and is told with its drawing', async () => {
    const bytes = new Uint8Array(900).fill(7);
    const none = { bytes, ref: { ...picture(1).ref, sha256: sha256(bytes), byteLength: 900 } };
    await shelve(one.shelf, [picture(11), none, picture(12)], 'shot-9');
    await expect(one.sync.putUp('shot-9')).rejects.toThrow(
      /^Everything was put up but the picture of drawing 1: /,
    );
    await one.sync.nudge();
    expect(hashes(await atStudio(studio, 'shot-9'))).toEqual(
      [picture(11), picture(12)].map(({ ref }) => ref.sha256),
    );
    expect((await one.shelf.marked('held', 'shot-9')).map(({ body }) => body)).toMatchObject([
      { kind: 'take', image: { sha256: none.ref.sha256 } },
    ]);
    expect(one.sync.sign.value).toEqual({ is: 'all sent' });
    // Nothing of it is sent again by itself.
    one.net.asked.length = 0;
    await one.sync.nudge();
    expect(one.net.asked.filter((asked) => asked.startsWith('P'))).toEqual([]);
  });

  test('two tablets that put newer drawings up at once: the studio has both', async () => {
    await shelve(one.shelf, [picture(11)], 'shot-9');
    await one.sync.putUp('shot-9');
    await two.sync.nudge();
    await two.sync.keep('shot-9');
    await shelve(one.shelf, [picture(11), picture(14)], 'shot-9');
    await shelve(two.shelf, [picture(11), picture(15)], 'shot-9');
    await Promise.all([one.sync.putUp('shot-9'), two.sync.putUp('shot-9')]);
    const shot = await atStudio(studio, 'shot-9');
    const all = [11, 14, 15].map((n) => picture(n).ref.sha256);
    expect(new Set(hashes(shot))).toEqual(new Set(all));
  });

  test('a picture of which the studio holds wrong bytes is sent again, whole', async () => {
    const { bytes, ref } = picture(16);
    await shelve(one.shelf, [{ bytes, ref }], 'shot-9');
    const wrong = await fetch(new URL(`api/images/${ref.sha256}`, studio.url), {
      method: 'PUT',
      headers: { 'content-range': `bytes 0-99/${bytes.length}` },
      body: new Uint8Array(100),
    });
    expect([wrong.status, await wrong.json()]).toEqual([202, { whole: false }]);
    let isUp = false;
    const up = one.sync.putUp('shot-9').then(() => {
      isUp = true;
    });
    await until(() => {
      one.platform.ring();
      expect(isUp).toBe(true);
    });
    await up;
    expect(await atStudio(studio, 'shot-9')).toBeDefined();
  });

  test('a download resumes in the middle of a picture, and is cancelled with what came kept', async () => {
    await shelve(one.shelf, [picture(21, 400_000), picture(22)], 'shot-9');
    await one.sync.putUp('shot-9');
    const ranges: (string | null)[] = [];
    let cut = true;
    const through = two.net.fetch;
    const broken: typeof through = async (input, init) => {
      const response = await through(input, init);
      if (!input.pathname.includes('/images/')) return response;
      ranges.push(new Headers(init?.headers).get('range'));
      if (!cut || response.body === null) return response;
      cut = false;
      const whole = new Uint8Array(await response.arrayBuffer());
      const half = whole.slice(0, whole.length >> 1);
      const body = new ReadableStream<Uint8Array>({
        pull(controller) {
          if (half.length > 0 && controller.desiredSize !== null && !started) {
            started = true;
            controller.enqueue(half);
          } else controller.error(new TypeError('connection reset'));
        },
      });
      let started = false;
      return new Response(body, { status: response.status, headers: response.headers });
    };
    const three = tablet(studio.url, ana);
    three.sync.close();
    const sync = openSync({
      shelf: three.shelf,
      base: studio.url,
      makeImage,
      fetch: broken,
      platform: three.platform,
    });
    const kept = sync.keep('shot-9');
    await until(() => {
      three.platform.ring();
      expect(ranges.some((range) => range !== null)).toBe(true);
    });
    await kept;
    expect(ranges).toContainEqual(expect.stringMatching(/^bytes=(200000|2500)-$/));
    expect(await three.shelf.file(picture(21, 400_000).ref.sha256)).toHaveProperty('byteLength', 400_000);
    sync.close();

    const stop = new AbortController();
    const cancelled = two.sync.keep('shot-9', {
      signal: stop.signal,
      onProgress: ({ doneImages }) => doneImages === 1 && stop.abort(),
    });
    await expect(cancelled).rejects.toThrow(/abort/i);
    // It is on the shelf with what came, and no round goes on behind the back of who stopped it.
    expect(hashes(await two.shelf.shot('shot-9'))).toHaveLength(1);
    await two.sync.nudge();
    expect(hashes(await two.shelf.shot('shot-9'))).toHaveLength(1);
    await two.sync.keep('shot-9');
    expect(hashes(await two.shelf.shot('shot-9'))).toHaveLength(2);
  });
});

describe('on the network, with passes', () => {
  let studio: TestStudio;
  let now: number;
  beforeEach(async () => {
    now = Date.now();
    studio = await testStudio({ needsPass: true, now: () => now });
  });
  afterEach(() => studio.close());

  /** A browser's cookies, since `fetch` in Node keeps none. */
  const withCookies = (net: Tablet['net']): Tablet['net'] => {
    let cookie = '';
    const bare = net.fetch;
    return Object.assign(net, {
      fetch: async (input: URL, init?: RequestInit) => {
        const response = await bare(input, { ...init, headers: { ...(init?.headers as object), cookie } });
        const set = response.headers.get('set-cookie');
        if (set) cookie = set.split(';')[0] as string;
        return response;
      },
    });
  };
  const joining = (person: Person): Tablet => {
    const made = tablet(studio.url, person);
    made.sync.close();
    return made;
  };

  test('a tablet without a pass is told so, keeps its notes, and sends them when it has joined', async () => {
    const local: Person = { id: 'local-person-1', name: 'me', role: 'director' };
    const base = joining(local);
    const net = withCookies(base.net);
    const sync = openSync({
      shelf: base.shelf,
      base: studio.url,
      makeImage,
      fetch: net.fetch,
      platform: base.platform,
    });
    await sync.nudge();
    // Nothing waits, and nothing was sent either.
    expect(sync.sign.value).toEqual({ is: 'kept on this tablet' });
    const pin = await base.write(pinBody());
    await sync.nudge();

    expect(sync.link.value).toBe('no pass');
    expect(sync.sign.value).toEqual({ is: 'waiting', count: 1 });

    const { code } = await makePass(studio.studio.store, { name: 'Ana', role: 'artist' }, now);
    await expect(sync.join('ZZZZ-ZZZZ', local.id)).rejects.toThrow(/not known/);
    expect(await sync.join(code.toLowerCase().replace('-', ' '), local.id)).toEqual({
      id: local.id,
      name: 'Ana',
      role: 'artist',
    });
    await until(() => expect(sync.sign.value).toEqual({ is: 'all sent' }));

    const stored = (await studio.studio.store.find([pin.id])).get(pin.id);
    expect(stored?.writer).toEqual({ id: local.id, name: 'Ana', role: 'artist' });
    await expect(sync.join(code, local.id)).rejects.toThrow(/used already/);

    // A right it lacks: refused with the reason, kept here, the rest goes on.
    const person = sync.person.value as Person;
    const entry = (id: string, body: Parameters<Tablet['write']>[0]) => ({
      ...pin,
      id,
      writer: person,
      body,
    });
    await base.shelf.addEntries(
      [
        entry('too-much', { kind: 'state', to: pin.id, state: 'approved' }),
        entry('fine', { kind: 'state', to: pin.id, state: 'fixed' }),
      ],
      'here',
    );
    await sync.nudge();
    await until(() =>
      expect(sync.refused.value).toMatchObject([
        { id: 'too-much', reason: expect.stringMatching(/artist.*approved/) },
      ]),
    );

    expect((await base.shelf.marked('unsent')).map(({ id }) => id)).toEqual(['too-much']);
    expect((await studio.studio.store.find(['fine'])).has('fine')).toBe(true);
    expect(sync.sign.value).toEqual({ is: 'all sent' });

    // It came to the studio another way, and from there here: nothing is turned down any more.
    await base.shelf.addEntries(await base.shelf.marked('unsent'), 'studio');
    await until(() => expect(sync.refused.value).toEqual([]));
    sync.close();
  });

  /** A tablet whose cookies are kept, at the hand of whoever comes in on it. */
  const handed = () => {
    const { shelf, net, platform, sync: closed } = tablet(studio.url, ana);
    closed.close();
    const { fetch } = withCookies(net);
    const sync = openSync({ shelf, base: studio.url, makeImage, fetch, platform });
    const letIn = async (name: string, personId: string, was: string): Promise<Person> => {
      const { code } = await makePass(studio.studio.store, { name, role: 'artist', personId }, now);
      return sync.join(code, was);
    };
    const say = async (writer: Person, id: string): Promise<Entry> => {
      const entry: Entry = {
        v: 1,
        id,
        shot: 'shot-1',
        writer,
        stamp: { wallMs: now, counter: 0 },
        body: pinBody(),
      };
      await shelf.addEntries([entry], 'here');
      return entry;
    };
    const stored = async (id: string): Promise<Entry | undefined> =>
      (await studio.studio.store.find([id])).get(id);
    return { shelf, net, sync, letIn, say, stored };
  };

  test('a tablet handed on sends nothing of whom it was handed on by, until they are back', async () => {
    const { shelf, net, sync, letIn, say, stored } = handed();
    const first = await letIn('Ana', 'person-ana', 'local-person');
    await until(() => expect(sync.sign.value).toEqual({ is: 'all sent' }));
    net.fate = () => 'down';
    await say(first, 'of ana');
    await say({ ...first, id: 'local-person', name: 'me', role: 'director' }, 'of ana, before she came in');
    await sync.nudge();
    net.fate = () => 'through';
    const [pass] = await studio.studio.store.passes();
    await studio.studio.store.revokePass(pass?.id ?? '', now);
    const second = await letIn('Bo', 'person-bobo', first.id);
    expect(second.id).toBe('person-bobo');
    await say(second, 'of bo');
    await sync.nudge();
    await until(() => expect(sync.sign.value).toEqual({ is: 'waiting for others', count: 2 }));
    expect((await stored('of bo'))?.writer.name).toBe('Bo');
    expect([await stored('of ana'), await stored('of ana, before she came in')]).toEqual([
      undefined,
      undefined,
    ]);
    expect(sync.others.value).toBe(2);
    await letIn('Ana', 'person-ana', second.id);
    await sync.nudge();
    await until(() => expect(sync.sign.value).toEqual({ is: 'all sent' }));
    expect((await stored('of ana'))?.writer).toEqual(first);
    // What she wrote before she came in goes out with her rights, not with those of a tablet without a pass.
    expect((await stored('of ana, before she came in'))?.writer).toEqual(first);
    expect((await shelf.marked('unsent')).length).toBe(0);
    sync.close();
  });

  test('what a file says in a person’s name is sent when that person says so, others’ never', async () => {
    const { shelf, sync, letIn, stored } = handed();
    const me = await letIn('Ana', 'person-ana', 'local-person');
    const boss: Person = { id: 'person-dov', name: 'Dov', role: 'director' };
    const entryBy = (writer: Person, id: string, body: Entry['body']): Entry => ({
      v: 1,
      id,
      shot: 'shot-1',
      writer,
      stamp: { wallMs: now, counter: 0 },
      body,
    });
    const file = writeNotesJson([
      entryBy(me, 'mine', pinBody()),
      entryBy(boss, 'his', { kind: 'drawing state', level: '', drawing: '1', state: 'approved' }),
    ]);
    await takeNotes(shelf, file);
    await sync.nudge();
    await until(() => expect(sync.inYourName.value.map(({ id }) => id)).toEqual(['mine']));
    expect([await stored('mine'), await stored('his'), sync.sign.value.is]).toEqual([
      undefined,
      undefined,
      'all sent',
    ]);
    await sync.vouch();
    expect((await stored('mine'))?.writer).toEqual(me);
    expect([await stored('his'), sync.inYourName.value.length]).toEqual([undefined, 0]);
    expect((await shelf.marked('brought')).map(({ id }) => id)).toEqual(['his']);
    sync.close();
  });
});

test('what this version cannot read is given back word for word to a studio that lost it', async () => {
  const [folder, shelf] = [temporaryFolder(), memoryShelf()];
  const start = (): Promise<TestStudio> => testStudio({ data: folder });
  let studio = await start();
  const { url } = studio;
  const writer = tablet(url, ana);
  const said = await writer.write(pinBody());
  await writer.sync.nudge();
  writer.sync.close();

  // As a version that knows no such entry would see it: `v` is 1 or more.
  const word = JSON.stringify(said);
  const stale = word.replace('"v":1', '"v":0');
  const net: Network = {
    ...network(),
    async fetch(input, init) {
      const here = new URL(input);
      here.port = studio.url.port;
      const sent = typeof init?.body === 'string' && { body: init.body.replace(stale, word) };
      const response = await fetch(here, { ...init, ...sent });
      if (input.pathname !== '/api/entries' || init?.method === 'POST') return response;
      return new Response((await response.text()).replace(word, stale), response);
    },
  };
  await shelve(shelf, [picture(1)]);
  const reader = tablet(url, dov, shelf, net);
  await reader.sync.nudge();
  expect([await reader.ids(), await storedIds(studio)]).toEqual([[], [said.id]]);

  await studio.close();
  for (const end of ['', '-wal', '-shm']) await rm(join(folder, `studio.sqlite${end}`), { force: true });
  studio = await start();
  expect(await storedIds(studio)).toEqual([]);
  await reader.sync.nudge();
  expect(await storedIds(studio)).toEqual([said.id]);
  await reader.sync.nudge();
  expect(reader.sync.sign.value).toEqual({ is: 'all sent' });
  reader.sync.close();

  await studio.close();
  await rm(folder, { recursive: true });
});
