// Expected: what src/server/store/README.md says of pictures in a shared folder and in an object store.
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { move } from '../../../src/server/move-command.ts';
import { picturesAt } from '../../../src/server/pictures/picture-place.ts';
import type { StudioOptions } from '../../../src/server/studio.ts';
import { ask } from '../../support/ask-studio.ts';
import { type TestBucket, testBucket, testKeys, testRegion } from '../../support/bucket-server.ts';
import { type TestStudio, temporaryFolder, testStudio } from '../../support/studio-server.ts';
import { picture, sha256 } from '../sync/world.ts';

const env = {
  AWS_ACCESS_KEY_ID: testKeys.accessKeyId,
  AWS_SECRET_ACCESS_KEY: testKeys.secretAccessKey,
  AWS_REGION: testRegion,
};

let folder: string;
let bucket: TestBucket;
let studios: TestStudio[];
beforeEach(async () => {
  folder = temporaryFolder();
  bucket = await testBucket();
  studios = [];
  for (const [name, value] of Object.entries(env)) vi.stubEnv(name, value);
});
afterEach(async () => {
  for (const studio of studios) await studio.close();
  await bucket.close();
  vi.unstubAllEnvs();
  vi.restoreAllMocks();
  rmSync(folder, { recursive: true, force: true });
});

/** Servers have a data folder each, with one `seal.key`. */
const start = async (
  where: string | undefined,
  data = 'one',
  more: Partial<StudioOptions> = {},
): Promise<TestStudio> => {
  const [mine, first] = [join(folder, data), join(folder, 'one')];
  mkdirSync(mine, { recursive: true });
  if (existsSync(join(first, 'seal.key')) && mine !== first)
    cpSync(join(first, 'seal.key'), join(mine, 'seal.key'));
  const studio = await testStudio({ data: mine, pictures: picturesAt(where), gatherMs: 20, ...more });
  studios.push(studio);
  return studio;
};
const stop = async (): Promise<void> => {
  for (const studio of studios.splice(0)) await studio.close();
};
const shared = (): string => {
  mkdirSync(join(folder, 'shared'), { recursive: true });
  return join(folder, 'shared');
};

const one = picture(1, 9001);
const put = (studio: TestStudio, of = one, start = 0, end = of.bytes.length): Promise<Response> =>
  ask(studio, `api/images/${of.ref.sha256}`, {
    method: 'PUT',
    headers: { 'content-range': `bytes ${start}-${end - 1}/${of.bytes.length}` },
    body: of.bytes.slice(start, end),
  });
const get = async (studio: TestStudio, of = one, range?: string) => {
  const response = await ask(studio, `api/images/${of.ref.sha256}`, range ? { headers: { range } } : {});
  return { status: response.status, bytes: Buffer.from(await response.arrayBuffer()) };
};
const uploaded = async (studio: TestStudio, of = one): Promise<unknown> =>
  (await ask(studio, `api/images/${of.ref.sha256}/upload`)).json();

describe.each(['a shared folder', 'an object store'] as const)(
  'two servers with their pictures in %s',
  (kind) => {
    const where = (): string => (kind === 'a shared folder' ? shared() : `${bucket.url}?prefix=studio`);

    test('hand out what either took in, whole and in ranges, and keep nothing of their own', async () => {
      const [a, b] = [await start(where()), await start(where(), 'two')];
      expect((await put(a)).status).toBe(201);
      expect(await uploaded(b)).toMatchObject({ whole: true });
      const whole = await get(b);
      expect([whole.status, sha256(whole.bytes)]).toEqual([200, one.ref.sha256]);
      expect(await get(b, one, 'bytes=8990-')).toEqual({
        status: 206,
        bytes: Buffer.from(one.bytes.slice(8990)),
      });
      expect((await put(b)).status).toBe(200);
      const files = (data: string) =>
        readdirSync(join(folder, data), { recursive: true, withFileTypes: true })
          .filter((entry) => entry.isFile())
          .map(({ name }) => name);
      expect([...files('one'), ...files('two')]).not.toContain(one.ref.sha256);
      expect(a.log.concat(b.log)).toEqual([]);
    });

    test('an upload that broke off goes on, after a restart too', async () => {
      await start(where());
      expect((await put(studios[0] as TestStudio, one, 0, 5000)).status).toBe(202);
      await stop();
      const again = await start(where());
      expect(await uploaded(again)).toEqual({ whole: false, received: 5000 });
      expect((await put(again, one, 5000)).status).toBe(201);
      expect(sha256((await get(again)).bytes)).toBe(one.ref.sha256);
    });

    test('other bytes than the name says are not kept, and rotten ones are set aside and told', async () => {
      const studio = await start(where());
      const wrong = await ask(studio, `api/images/${one.ref.sha256}`, {
        method: 'PUT',
        body: picture(2, 500).bytes,
      });
      expect(wrong.status).toBe(422);
      expect((await get(studio)).status).toBe(404);
      expect((await put(studio)).status).toBe(201);
      const path = `${one.ref.sha256.slice(0, 2)}/${one.ref.sha256}`;
      const rotten = Buffer.from(one.bytes);
      rotten[6000] = (rotten[6000] ?? 0) ^ 4;
      if (kind === 'a shared folder') writeFileSync(join(shared(), path), rotten);
      else bucket.objects.set(`studio/${path}`, { bytes: rotten, type: 'image/png' });
      expect((await get(studio)).status).toBe(200);
      await vi.waitFor(async () => expect((await get(studio)).status).toBe(404), { timeout: 20_000 });
      expect(studio.log).toEqual([
        expect.stringMatching(
          new RegExp(
            `^The picture ${one.ref.sha256} in .* was not what its name says; .* kept as .*not-as-named`,
          ),
        ),
      ]);
      expect((await put(studio)).status).toBe(201);
      expect(sha256((await get(studio)).bytes)).toBe(one.ref.sha256);
    });

    test('room for pictures is held against what lies there', async () => {
      const limits = { pictureBytes: 20_000, freeBytes: 0 };
      const studio = await start(where(), 'one', { limits });
      expect((await put(studio)).status).toBe(201);
      await stop();
      const again = await start(where(), 'one', { limits });
      expect((await put(again, picture(2, 15_000))).status).toBe(507);
      expect((await put(again, picture(3, 8000))).status).toBe(201);
    });

    test('a place of another studio is refused, and so is starting without it', async () => {
      await start(where());
      await stop();
      // Its own seal.key: another studio's.
      mkdirSync(join(folder, 'other'));
      writeFileSync(join(folder, 'other/seal.key'), Buffer.alloc(32, 7));
      await expect(
        testStudio({ data: join(folder, 'other'), pictures: picturesAt(where()) }),
      ).rejects.toThrow(/lie pictures of another studio.*Give this one a place of its own with --pictures/);
      await expect(start(undefined)).rejects.toThrow(
        /pictures lie in the (folder|bucket) .*: give that place with --pictures/,
      );
    });
  },
);

test('in a shared folder another server goes on with an upload where the first stopped', async () => {
  const [a, b] = [await start(shared()), await start(shared(), 'two')];
  expect((await put(a, one, 0, 5000)).status).toBe(202);
  expect(await uploaded(b)).toEqual({ whole: false, received: 5000 });
  expect((await put(b, one, 5000)).status).toBe(201);
  expect(sha256((await get(a)).bytes)).toBe(one.ref.sha256);
  expect(await uploaded(a)).toMatchObject({ whole: true });
});

test('while a shared folder is not mounted nothing is missed or written in its place, and it goes on after', async () => {
  const studio = await start(shared());
  expect((await put(studio)).status).toBe(201);
  cpSync(shared(), join(folder, 'drive'), { recursive: true });
  rmSync(shared(), { recursive: true });
  shared();
  expect((await get(studio)).status).toBe(503);
  expect((await put(studio, picture(2, 700))).status).toBe(503);
  expect(readdirSync(shared()).filter((name) => name !== 'parts')).toEqual([]);
  rmSync(shared(), { recursive: true });
  cpSync(join(folder, 'drive'), join(folder, 'shared'), { recursive: true });
  expect((await get(studio)).status).toBe(200);
  expect((await put(studio, picture(2, 700))).status).toBe(201);
  expect(studio.log[0]).toMatch(
    /cannot be reached: .*fairpeg-mark\.txt is not there\. Look whether the folder is mounted/,
  );
  // A server that starts then does not take the empty folder for the first time.
  await stop();
  rmSync(shared(), { recursive: true });
  shared();
  await expect(start(shared())).rejects.toThrow(
    /nothing of this studio’s pictures is to be seen.*Look whether it is mounted/,
  );
});

describe('an object store', () => {
  test('out of reach takes nothing from a tablet; what was whole is put up when it is back, without a byte sent again', async () => {
    const studio = await start(bucket.url, 'one', { limits: {} });
    bucket.fate = (method, key) => (method === 'PUT' && key.includes(one.ref.sha256) ? 'refused' : 'through');
    const refused = await put(studio);
    expect(refused.status).toBe(503);
    expect(await refused.json()).toMatchObject({
      code: 'pictures',
      reason: expect.stringContaining('is safe'),
    });
    expect(refused.headers.get('retry-after')).toBe('10');
    expect((await get(studio)).status).toBe(404);
    bucket.fate = () => 'through';
    expect(await uploaded(studio)).toEqual({ whole: true, received: 0 });
    expect(sha256((await get(studio)).bytes)).toBe(one.ref.sha256);
    // Entries that name no picture go through all the while; the log says what is wrong, and when it was over.
    expect(studio.log).toEqual([
      expect.stringContaining('cannot be reached'),
      expect.stringContaining('is in reach again'),
    ]);
  });

  test('that is away at the start keeps no server from starting', async () => {
    bucket.fate = () => 'refused';
    const studio = await start(bucket.url);
    expect((await ask(studio, 'api/me')).status).toBe(200);
    expect((await get(studio)).status).toBe(503);
    expect(studio.log.join('\n')).toContain('The server starts without its pictures');
    bucket.fate = () => 'through';
    expect((await put(studio)).status).toBe(201);
  });

  test.each([
    ['AWS_ACCESS_KEY_ID', 'nobody', '', /does not know the key in AWS_ACCESS_KEY_ID/],
    ['AWS_SECRET_ACCESS_KEY', 'guess', '', /signed with AWS_SECRET_ACCESS_KEY/],
    ['AWS_REGION', 'us-east-1', '', /not in the region us-east-1. Set AWS_REGION to eu-test-1/],
    [
      'AWS_REGION',
      testRegion,
      's',
      /does not exist. Make it, or give another with --pictures or PICTURES_URL/,
    ],
  ])(
    'with a wrong setting (%s %s) is refused at the start in one sentence that names it',
    async (name, value, end, words) => {
      vi.stubEnv(name, value);
      const starting = start(`${bucket.url}${end}`);
      await expect(starting).rejects.toThrow(words);
      await expect(starting).rejects.not.toThrow(/guess|a\/secret/);
    },
  );
});

describe('pictures that move', () => {
  const said: string[] = [];
  const run = (...args: string[]): Promise<number> =>
    move(['pictures', '--data', join(folder, 'one'), ...args]);
  beforeEach(() => {
    said.length = 0;
    vi.spyOn(process.stdout, 'write').mockImplementation((text) => said.push(String(text)) > 0);
    vi.spyOn(process.stderr, 'write').mockImplementation(() => true);
  });
  const several = Array.from({ length: 12 }, (_, n) => picture(30 + n, 400 + n));
  const filled = async (): Promise<void> => {
    const studio = await start(undefined);
    for (const of of several) expect((await put(studio, of)).status).toBe(201);
    await stop();
  };
  const allIn = async (studio: TestStudio): Promise<void> => {
    for (const of of several) expect(sha256((await get(studio, of)).bytes)).toBe(of.ref.sha256);
  };

  test('into an object store, on to a shared folder and back: all are there, and the place that was left says so', async () => {
    await filled();
    expect(await run('--to', bucket.url)).toBe(0);
    expect(said[0]).toMatch(/^12 pictures \(0\.00 GB\) are in the bucket http:.* now, each read back\.\n$/);
    await expect(start(undefined)).rejects.toThrow(
      /were moved to the bucket .*Start the server with --pictures/,
    );
    await allIn(await start(bucket.url));
    await stop();
    expect(await run('--from', bucket.url, '--to', shared())).toBe(0);
    await expect(start(bucket.url)).rejects.toThrow(/were moved to the folder/);
    await allIn(await start(shared()));
    await stop();
    expect(await run('--from', shared(), '--to', 'data')).toBe(0);
    await allIn(await start(undefined));
  });

  test('broken off, it goes on where it was; what came meanwhile goes too', async () => {
    await filled();
    let puts = 0;
    bucket.fate = (method) => (method === 'PUT' && ++puts > 6 ? 'refused' : 'through');
    await expect(run('--to', bucket.url)).rejects.toThrow(
      /cannot be reached.*What was moved so far is kept; start this again/,
    );
    // Nothing says yet that all went.
    const studio = await start(undefined);
    const late = picture(99, 555);
    expect((await put(studio, late)).status).toBe(201);
    await stop();
    bucket.fate = () => 'through';
    bucket.asked.length = 0;
    expect(await run('--to', bucket.url)).toBe(0);
    expect(said.join('')).toMatch(/^13 pictures .* each read back \([1-5] of them since an earlier run\)/);
    const again = await start(bucket.url);
    await allIn(again);
    expect((await get(again, late)).status).toBe(200);
  });

  test('one that is rotten stays where it is, is named, and the others go', async () => {
    await filled();
    const [{ ref }] = several as [typeof one];
    const file = join(folder, 'one/images', ref.sha256.slice(0, 2), ref.sha256);
    const rotten = readFileSync(file);
    rotten[100] = (rotten[100] ?? 0) ^ 1;
    writeFileSync(file, rotten);
    expect(await run('--to', bucket.url)).toBe(0);
    expect(said.join('')).toContain(`1 were not what their names say, and stay in the folder`);
    expect(said.join('')).toContain(ref.sha256);
    expect([...bucket.objects.keys()].filter((key) => key.endsWith(ref.sha256))).toEqual([]);
    expect(readFileSync(file)).toEqual(rotten);
  });

  test('to a place of another studio, to the same place, or to none is refused', async () => {
    await filled();
    bucket.objects.set('fairpeg-mark.txt', { bytes: Buffer.from('another'), type: 'text/plain' });
    await expect(run('--to', bucket.url)).rejects.toThrow(/pictures of another studio/);
    await expect(run('--to', 'data')).rejects.toThrow(/lie in the folder .* already/);
    await expect(run()).rejects.toThrow(/--to FOLDER/);
    await expect(run('--to', join(folder, 'nowhere'))).rejects.toThrow(/There is no folder/);
    await allIn(await start(undefined));
  });
});
