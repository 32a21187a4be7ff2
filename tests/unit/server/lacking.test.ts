// Expected: what src/server/README.md says of lost pictures; files are lost and spoilt by hand, and counted by hand.
import { readdir, rm, stat, truncate, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import * as v from 'valibot';
import { afterEach, describe, expect, test, vi } from 'vitest';
import { originEntries } from '../../../src/note/origin.ts';
import { shotBodies } from '../../../src/note/shot-bodies.ts';
import { lackingPictures } from '../../../src/server/pictures/lacking.ts';
import { openSeal } from '../../../src/server/seal.ts';
import type { ImageRef } from '../../../src/shot/model.ts';
import { sealedLine } from '../../../src/wire/entries.ts';
import type { Hint } from '../../../src/wire/hints.ts';
import { shotsSchema } from '../../../src/wire/shots.ts';
import { ask, joined } from '../../support/ask-studio.ts';
import { type TestStudio, testStudio } from '../../support/studio-server.ts';
import { picture, shotOf } from '../sync/world.ts';

const [one, two, three] = [picture(1, 700), picture(2, 900), picture(3, 1100)] as const;

describe('a picture that the server lost alone', () => {
  let studio: TestStudio;
  afterEach(() => studio.close());

  const placeOf = ({ sha256 }: ImageRef): string =>
    join(studio.folder, 'data/images', sha256.slice(0, 2), sha256);
  const put = (of: typeof one, headers: Record<string, string> = {}): Promise<Response> =>
    ask(studio, `api/images/${of.ref.sha256}`, { method: 'PUT', body: of.bytes, headers });
  const get = async (of: typeof one, headers: Record<string, string> = {}): Promise<number> => {
    const response = await ask(studio, `api/images/${of.ref.sha256}`, { headers });
    await response.arrayBuffer();
    return response.status;
  };
  const lines = (id = 'shot-1', of = [one, two, three]): string[] => {
    const shot = shotOf(
      of.map(({ ref }) => ref),
      id,
    );
    return originEntries(id, shotBodies(shot)).map((entry) => JSON.stringify(entry));
  };
  const post = async (sent: readonly string[], headers: Record<string, string> = {}) => {
    const response = await ask(studio, 'api/entries', {
      method: 'POST',
      headers: { 'content-type': 'application/x-ndjson', ...headers },
      body: sent.join('\n'),
    });
    return (await response.json()) as { accepted: string[]; refused: unknown[] };
  };
  /** By shot, what the list asks for. */
  const lacking = async (headers: Record<string, string> = {}): Promise<Record<string, string[]>> => {
    const response = await ask(studio, 'api/shots', { headers });
    const { shots } = v.parse(shotsSchema, await response.json());
    return Object.fromEntries(shots.map(({ id, lacking }) => [id, lacking]));
  };
  const until = (wanted: Record<string, string[]>, headers: Record<string, string> = {}): Promise<void> =>
    vi.waitFor(async () => expect(await lacking(headers)).toEqual(wanted), { timeout: 20_000, interval: 50 });
  const open = async (options: Parameters<typeof testStudio>[0] = {}): Promise<void> => {
    studio = await testStudio({ gatherMs: 20, ...options });
  };
  const filled = async (): Promise<void> => {
    for (const of of [one, two, three]) expect((await put(of)).status).toBe(201);
    expect((await post([...lines(), ...lines('shot-2', [two])])).refused).toEqual([]);
    expect(await lacking()).toEqual({ 'shot-1': [], 'shot-2': [] });
  };

  test('is asked for by every shot that names it once somebody wants it, and no more once it came', async () => {
    await open();
    await filled();
    await rm(placeOf(two.ref));
    expect(await get(two)).toBe(404);
    await until({ 'shot-1': [two.ref.sha256], 'shot-2': [two.ref.sha256] });
    expect(studio.log).toEqual([
      `The picture ${two.ref.sha256}, named by entries of shot shot-1, is not here. Tablets that hold it are asked to put it up again.`,
    ]);
    // As a tablet asks before it sends.
    expect(await (await ask(studio, `api/images/${two.ref.sha256}/upload`)).json()).toEqual({
      whole: false,
      received: 0,
    });
    expect((await put(two)).status).toBe(201);
    await until({ 'shot-1': [], 'shot-2': [] });
    expect(await get(two)).toBe(200);
  });

  test('is not asked for when no entry names it', async () => {
    await open();
    await filled();
    const stranger = picture(9);
    expect(await get(stranger)).toBe(404);
    await rm(placeOf(one.ref));
    expect(await get(one)).toBe(404);
    await until({ 'shot-1': [one.ref.sha256], 'shot-2': [] });
    expect(studio.log.join()).not.toContain(stranger.ref.sha256);
  });

  test('rotten in its file, it is set aside when it was handed out, and asked for', async () => {
    await open();
    await filled();
    const rotten = Uint8Array.from(one.bytes);
    rotten[500] = (rotten[500] ?? 0) ^ 1;
    await writeFile(placeOf(one.ref), rotten);
    expect(await get(one)).toBe(200);
    await until({ 'shot-1': [one.ref.sha256], 'shot-2': [] });
    expect(await readdir(join(studio.folder, 'data/images/not-as-named'))).toHaveLength(1);
    expect(await get(one)).toBe(404);
    expect((await put(one)).status).toBe(201);
    await until({ 'shot-1': [], 'shot-2': [] });
    expect(await get(one)).toBe(200);
  });

  test('of another length, or away, it is found by the look at everything, without anybody who wants it', async () => {
    await open({ lookMs: 50 });
    await filled();
    await truncate(placeOf(one.ref), 0);
    await rm(placeOf(three.ref));
    await until({ 'shot-1': [one.ref.sha256, three.ref.sha256], 'shot-2': [] });
    await expect(stat(placeOf(one.ref))).rejects.toThrow('ENOENT');
    await put(one);
    await put(three);
    await until({ 'shot-1': [], 'shot-2': [] });
  });

  test('tablets are hinted at the list, and a revoked or missing pass neither reads it nor puts up', async () => {
    await open({ needsPass: true });
    const ana = await joined(studio, 'Ana', 'artist');
    const headers = { cookie: ana.cookie };
    for (const of of [one, two, three]) expect((await put(of, headers)).status).toBe(201);
    expect((await post(lines(), headers)).refused).toEqual([]);
    const stop = new AbortController();
    const live = await ask(studio, 'api/live', { headers, signal: stop.signal });
    const heard: string[] = [];
    const hearing = (async () => {
      for await (const piece of live.body as unknown as AsyncIterable<Uint8Array>)
        heard.push(Buffer.from(piece).toString());
    })().catch(() => undefined);
    await rm(placeOf(two.ref));
    expect(await get(two, headers)).toBe(404);
    const hints = (): Hint[] =>
      [...heard.join('').matchAll(/data: (.*)\n/g)].map(([, text = '']) => JSON.parse(text) as Hint);
    await vi.waitFor(() => expect(hints()).toEqual([{ kind: 'shots' }]), { timeout: 20_000 });
    expect(await lacking(headers)).toEqual({ 'shot-1': [two.ref.sha256] });
    expect((await ask(studio, 'api/shots')).status).toBe(401);
    expect((await put(two)).status).toBe(401);
    expect((await put(two, headers)).status).toBe(201);
    // Those that lack it, too, look again.
    await vi.waitFor(() => expect(hints()).toHaveLength(2), { timeout: 20_000 });
    stop.abort();
    await hearing;
  });

  test('is asked for when its entries come back under their seal to a server that was wiped', async () => {
    await open();
    const seal = await openSeal(join(studio.folder, 'data'));
    const sealed = lines().map((line) => sealedLine(JSON.parse(line), seal.over(JSON.parse(line))));
    const { accepted, refused } = await post(sealed);
    expect([accepted.length > 0, refused]).toEqual([true, []]);
    await until({ 'shot-1': [one, two, three].map(({ ref }) => ref.sha256) });
  });
});

describe('the list of what is lacking', () => {
  const many = Array.from({ length: 1500 }, (_, n) => ({
    ...one.ref,
    sha256: n.toString(16).padStart(64, '0'),
  }));

  test('tells a thousand at most, the others once those came, and none that another server has taken in', async () => {
    const here = new Set<string>();
    const log: string[] = [];
    const desk = lackingPictures({
      shots: { pictures: async () => new Map([['shot-1', many]]) },
      images: {
        has: async (sha256) => here.has(sha256),
        sound: async () => false,
        async *names() {},
      },
      changed: () => undefined,
      lookMs: 1e6,
      gatherMs: 1,
      log: (line) => log.push(line),
    });
    await desk.look();
    const first = (await desk.told()).get('shot-1') ?? [];
    expect(first).toHaveLength(1000);
    expect(log).toHaveLength(1);
    expect(log[0]).toContain('and 1499 more');
    for (const sha256 of first) {
      here.add(sha256);
      desk.came(sha256);
    }
    // By another server of the house.
    here.add(many[1200]?.sha256 ?? '');
    const rest = (await desk.told()).get('shot-1') ?? [];
    expect(rest).toHaveLength(499);
    expect(new Set([...first, ...rest]).size).toBe(1499);
    await desk.close();
  });

  test('what cannot be looked through is said once, and looked through later', async () => {
    const log: string[] = [];
    let isAway = true;
    const desk = lackingPictures({
      shots: {
        pictures: async () => {
          if (isAway) throw new Error('The database cannot be reached.');
          return new Map([['shot-1', many.slice(0, 1)]]);
        },
      },
      images: { has: async () => false, sound: async () => false, async *names() {} },
      changed: () => undefined,
      lookMs: 1e6,
      gatherMs: 1,
      log: (line) => log.push(line),
    });
    await desk.look();
    await desk.look();
    expect(log).toEqual([
      'What pictures are lacking could not be found out: The database cannot be reached.',
    ]);
    isAway = false;
    await desk.look();
    expect((await desk.told()).get('shot-1')).toEqual([many[0]?.sha256]);
    await desk.close();
  });
});
