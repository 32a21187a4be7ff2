// Expected: the text format as parse-prometheus-text-format reads it (an outside library, ported from Prometheus' own
// parser for Python), naming as Prometheus asks ("Metric and label naming"), figures counted by hand.
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import parse from 'parse-prometheus-text-format';
import { afterEach, describe, expect, test, vi } from 'vitest';
import { metricsToken } from '../../../src/server/options.ts';
import { ask, joined } from '../../support/ask-studio.ts';
import { type TestStudio, testStudio } from '../../support/studio-server.ts';
import { entry, pinBody } from '../note/make.ts';
import { picture } from '../sync/world.ts';

const token = 'a-token-of-many-letters-and-3-digits';
let studio: TestStudio;
afterEach(() => studio.close());

const look = (authorization?: string): Promise<Response> =>
  ask(studio, 'metrics', authorization === undefined ? {} : { headers: { authorization } });
interface Sample {
  readonly value?: string;
  readonly labels?: Record<string, string>;
  readonly count?: string;
  readonly buckets?: Record<string, string>;
}
interface Family {
  readonly name: string;
  readonly help: string;
  readonly type: string;
  readonly metrics: readonly Sample[];
}
const figures = async (): Promise<Map<string, Family>> => {
  const families = parse(await (await look(`Bearer ${token}`)).text()) as Family[];
  return new Map(families.map((family) => [family.name, family]));
};
const valueOf = (families: Map<string, Family>, name: string, labels: Record<string, string> = {}) =>
  families
    .get(`fairpeg_${name}`)
    ?.metrics.find(({ labels: have = {} }) =>
      Object.entries(labels).every(([label, value]) => have[label] === value),
    );

describe('who may look', () => {
  test('nobody where no token is set, on this machine neither', async () => {
    studio = await testStudio();
    await mkdir(join(studio.folder, 'app'));
    await writeFile(join(studio.folder, 'app/headers.json'), '{}');
    expect((await look()).status).toBe(404);
    expect((await look(`Bearer ${token}`)).status).toBe(404);
  });
  test.each([undefined, '', 'Bearer ', 'Bearer wrong', token, `Basic ${token}`, `Bearer ${token} `])(
    'with the token set, not with %j beside it',
    async (authorization) => {
      studio = await testStudio({ metricsToken: token });
      const answer = await look(authorization === `Bearer ${token} ` ? `Bearer ${token}x` : authorization);
      expect([answer.status, answer.headers.get('www-authenticate')]).toEqual([401, 'Bearer']);
      expect(await answer.json()).toMatchObject({ code: 'token' });
    },
  );
  test('whoever has it, behind a proxy and without a pass too', async () => {
    studio = await testStudio({ metricsToken: token, needsPass: true, behindProxy: true });
    const answer = await look(`Bearer ${token}`);
    expect([answer.status, answer.headers.get('content-type')]).toEqual([
      200,
      expect.stringContaining('text/plain; version=0.0.4'),
    ]);
  });
  test('a token that is short, or has spaces, is told and never shown', async () => {
    studio = await testStudio();
    expect(metricsToken({ FAIRPEG_METRICS_TOKEN: token })).toBe(token);
    expect(metricsToken({ FAIRPEG_METRICS_TOKEN: '' })).toBeUndefined();
    expect(() => metricsToken({ FAIRPEG_METRICS_TOKEN: 'secret' })).toThrow(/^(?!.*secret).*wants 20 to 200/);
    expect(() => metricsToken({ FAIRPEG_METRICS_TOKEN: `${token} secret` })).toThrow(/^(?!.*secret)/);
  });
});

test('what was done is counted, and no id, name or secret is in it', async () => {
  studio = await testStudio({ metricsToken: token, needsPass: true });
  const ana = await joined(studio, 'Anaïs', 'artist');
  const headers = { cookie: ana.cookie, 'content-type': 'application/x-ndjson' };
  const body = [
    JSON.stringify(entry(pinBody(), 1, ana.writer, 'pin-of-anaïs')),
    JSON.stringify(entry(pinBody(), 2, ana.writer, 'second-pin')),
    JSON.stringify(entry({ kind: 'shot', title: 'Secret lantern' }, 3, ana.writer, 'renamed')),
  ].join('\n');
  for (let n = 0; n < 2; n++)
    expect((await ask(studio, 'api/entries', { method: 'POST', headers, body })).status).toBe(200);
  const { bytes, ref } = picture(7, 5000);
  const path = `api/images/${ref.sha256}`;
  expect(
    (await ask(studio, path, { method: 'PUT', body: bytes, headers: { cookie: ana.cookie } })).status,
  ).toBe(201);
  await (await ask(studio, path, { headers: { cookie: ana.cookie } })).arrayBuffer();
  expect((await ask(studio, 'api/shots')).status).toBe(401);
  expect((await ask(studio, 'api/nothing/here', { headers: { cookie: ana.cookie } })).status).toBe(404);
  const live = await ask(studio, 'api/live', { headers: { cookie: ana.cookie } });
  // An answer is counted when its last byte is out, which its reader may see before.
  const told = await vi.waitFor(
    async () => {
      const found = await figures();
      expect(valueOf(found, 'picture_bytes_total', { way: 'out' })?.value).toBe('5000');
      return found;
    },
    { timeout: 20_000, interval: 50 },
  );
  const text = await (await look(`Bearer ${token}`)).text();
  const value = (name: string, labels: Record<string, string> = {}): number =>
    Number(valueOf(told, name, labels)?.value);
  expect(value('entries_posted_total', { result: 'stored' })).toBe(2);
  expect(value('entries_posted_total', { result: 'known' })).toBe(2);
  // An artist sets no title (README: Passes).
  expect(value('entries_posted_total', { result: 'role' })).toBe(2);
  expect(value('entries')).toBe(2);
  expect(value('database_up')).toBe(1);
  expect(value('open_streams')).toBe(1);
  expect(value('open_requests')).toBe(0);
  expect(value('commit_waiting')).toBe(0);
  expect(value('picture_bytes_total', { way: 'in' })).toBe(5000);
  expect(value('picture_kept_bytes')).toBe(5000);
  expect(value('refused_total', { code: 'pass' })).toBe(1);
  expect(value('refused_total', { code: 'missing' })).toBe(1);
  expect(value('requests_total', { method: 'POST', route: '/api/entries', status: '200' })).toBe(2);
  expect(value('requests_total', { method: 'GET', route: 'none', status: '404' })).toBe(1);
  const commits = valueOf(told, 'commit_seconds');
  expect([Number(commits?.count), Number(valueOf(told, 'commit_entries')?.count)]).toEqual([2, 2]);
  // Of what was known already nobody is told. (The parser leaves labels of a histogram away.)
  expect(valueOf(told, 'hint_lag_seconds')?.buckets?.['+Inf']).toBe('1');
  expect(text).toContain('fairpeg_hint_lag_seconds_count{at="here"} 1\n');

  for (const secret of [
    token,
    ana.cookie.split('=')[1] ?? '-',
    ana.pass.id,
    ana.writer.id,
    'Ana',
    'second-pin',
    'shot-1',
    'lantern',
    ref.sha256,
    '127.0.0.1',
  ])
    expect(text).not.toContain(secret);
  await live.body?.cancel();
});

// The grammar as published ("Exposition formats"): names, escaped label values, a float, and a newline at the very end.
test('each line is one of the published grammar, names have their unit and counters their _total', async () => {
  studio = await testStudio({ metricsToken: token });
  await ask(studio, 'api/shots');
  const text = await (await look(`Bearer ${token}`)).text();
  const line =
    /^(# (HELP|TYPE) [a-zA-Z_:][a-zA-Z0-9_:]* .+|[a-zA-Z_:][a-zA-Z0-9_:]*(\{([a-zA-Z_][a-zA-Z0-9_]*="([^"\\\n]|\\[\\"n])*",?)*\})? ([-+]?[0-9.]+(e[-+]?[0-9]+)?|[+-]?Inf|Na[Nn])( [0-9]+)?|)$/;
  expect(text.endsWith('\n')).toBe(true);
  expect(text.split('\n').filter((one) => !line.test(one))).toEqual([]);
  for (const { name, type, help } of (await figures()).values()) {
    if (!name.startsWith('fairpeg_')) continue;
    expect(help, name).toMatch(/\.$/);
    if (type === 'COUNTER') expect(name).toMatch(/_total$/);
    else expect(name).not.toMatch(/_total$/);
    if (/_(ms|milliseconds|kb|mb)$/i.test(name)) expect.fail(`${name} has no base unit.`);
  }
});

test('while the database cannot be used that is told, and the rest still is', async () => {
  studio = await testStudio({ metricsToken: token });
  studio.studio.store.fault = async () => 'The database cannot be reached.';
  studio.studio.store.newest = async () => {
    throw new Error('away');
  };
  const told = await figures();
  expect(valueOf(told, 'database_up')?.value).toBe('0');
  expect(valueOf(told, 'entries')).toBeUndefined();
  expect(valueOf(told, 'open_streams')?.value).toBe('0');
});
