// Expected: what the Containerfile and the README beside it say is there and works. No container engine runs here, so the
// file is held against the repository line by line; the lines' own grammar is Docker's "Dockerfile reference", from memory.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { dirname, join, normalize, relative } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readServeOptions } from '../../../src/server/options.ts';
import { sealedLine } from '../../../src/wire/entries.ts';
import { ask, joined } from '../../support/ask-studio.ts';
import { ROOT } from '../../support/built-app.ts';
import { findPostgres, type OwnPostgres, startPostgres } from '../../support/postgres.ts';
import { type TestStudio, temporaryFolder, testStudio } from '../../support/studio-server.ts';
import { entry, pinBody } from '../note/make.ts';

const textOf = (path: string): string => readFileSync(join(ROOT, path), 'utf8');
const { scripts, engines, dependencies } = JSON.parse(textOf('package.json')) as {
  scripts: Record<string, string>;
  engines: { node: string };
  dependencies: Record<string, string>;
};

describe('the Containerfile', () => {
  const lines = textOf('src/server/running/Containerfile')
    .split('\n')
    .filter((line) => line.trim() !== '' && !line.startsWith('#'))
    .map((line) => ({ word: line.split(' ')[0] ?? '', rest: line.slice(line.indexOf(' ') + 1) }));
  const all = (word: string): string[] => lines.filter((line) => line.word === word).map(({ rest }) => rest);
  const exec = (word: string): string[] => JSON.parse(all(word).at(-1) ?? '') as string[];
  const stages = lines.flatMap(({ word }, n) => (word === 'FROM' ? [n] : []));
  const copiedBy = (stage: 0 | 1): string[] =>
    lines
      .slice(stages[stage], stages[stage + 1])
      .filter(({ word, rest }) => word === 'COPY' && !rest.startsWith('--'))
      .flatMap(({ rest }) => rest.split(' ').slice(0, -1));

  test('has lines that there are, and ends in one program that is stopped by a signal', () => {
    const known = /^(FROM|WORKDIR|COPY|RUN|ENV|USER|VOLUME|EXPOSE|STOPSIGNAL|HEALTHCHECK|ENTRYPOINT|CMD)$/;
    expect(lines.filter(({ word }) => !known.test(word))).toEqual([]);
    expect([all('STOPSIGNAL'), all('USER'), stages.length]).toEqual([['SIGTERM'], ['node'], 2]);
    const least = /(\d+)/.exec(engines.node)?.[1];
    for (const from of all('FROM')) expect(from).toMatch(new RegExp(`^docker\\.io/library/node:${least}-`));
  });
  test('copies files and folders that there are', () => {
    for (const path of [...copiedBy(0), ...copiedBy(1)])
      expect(existsSync(join(ROOT, path)), path).toBe(true);
    expect(all('COPY').filter((rest) => rest.startsWith('--'))).toEqual([
      '--from=built /fairpeg/dist ./dist',
    ]);
    expect(textOf('src/server/options.ts')).toContain("'dist/app'");
  });
  test('runs commands of package.json, with what they need', () => {
    for (const run of all('RUN').filter((line) => line.startsWith('npm')))
      expect(run === 'npm ci' || run === 'npm ci --omit=dev' || run === 'npm run --silent build', run).toBe(
        true,
      );
    expect(scripts['build']).toBe('tsx src/app/build/build.ts');
    expect(exec('ENTRYPOINT')).toEqual(
      scripts['fairpeg']?.split(' ').map((word, n) => (n === 0 ? `node_modules/.bin/${word}` : word)),
    );
    // The runtime has no packages for development.
    expect(dependencies).toHaveProperty('tsx');
    const [command, ...options] = exec('CMD');
    expect(command).toBe('serve');
    expect(readServeOptions(options, '/fairpeg')).toMatchObject({
      app: '/fairpeg/dist/app',
      data: '/studio',
      network: true,
      port: Number(all('EXPOSE')[0]),
    });
    expect(all('HEALTHCHECK')[0]).toContain(`:${all('EXPOSE')[0]}/healthz`);
  });
  test('copies all that the sources import', () => {
    const [building, running] = [copiedBy(0), copiedBy(1)];
    const has = (copied: readonly string[], path: string): boolean =>
      copied.some((one) => path === one || path.startsWith(`${one}/`));
    const imported = (folder: string): string[] =>
      readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' })
        .filter((path) => /\.tsx?$/.test(path))
        .flatMap((path) =>
          [...textOf(join(folder, path)).matchAll(/(?:from|import)\s*\(?\s*'(\.[^']+)'/g)].map(
            ([, to = '']) => relative(ROOT, normalize(join(ROOT, folder, dirname(path), to))),
          ),
        );
    const ofSources = imported('src');
    expect(ofSources.length).toBeGreaterThan(1000);
    expect([...ofSources, ...imported('sw')].filter((path) => !has(building, path))).toEqual([]);
    const ofServer = ['src/cli', 'src/server'].flatMap(imported);
    expect(ofServer.filter((path) => !has(running, path))).toEqual([]);
  });
});

const found = findPostgres();
if ('lacking' in found) console.warn(found.lacking);

describe.skipIf('lacking' in found)(
  'backup and restoring of a house on PostgreSQL, by the README’s own commands',
  () => {
    const programs = 'programs' in found ? found.programs : '';
    let postgres: OwnPostgres;
    let folder = '';
    beforeAll(async () => {
      postgres = await startPostgres(programs);
      folder = temporaryFolder();
    });
    afterAll(async () => {
      await postgres?.end();
      rmSync(folder, { recursive: true, force: true });
    });
    /** Each line up to its explanation, as it stands; only FOLDER is somebody's own. */
    const commands = (heading: string): string[] => {
      const section =
        textOf('src/server/store/README.md').split(`## ${heading}\n`)[1]?.split('\n## ')[0] ?? '';
      const block = /^```\n([^]*?)^```/m.exec(section)?.[1] ?? '';
      return block
        .split('\n')
        .filter((line) => line !== '')
        .map((line) => line.split(/ {3,}/)[0] ?? '');
    };
    const run = (command: string, url: string, cwd: string, copy: string): void => {
      const { status, stderr } = spawnSync('bash', ['-c', command.replaceAll('FOLDER', copy)], {
        cwd,
        encoding: 'utf8',
        env: { ...process.env, PATH: `${programs}:${process.env['PATH']}`, DATABASE_URL: url },
      });
      expect([command, status, stderr]).toEqual([command, 0, '']);
    };

    test('what was backed up is there again, and the tablets give back what came since', async () => {
      const [first, second] = [await postgres.database('before'), await postgres.database('after')];
      const [data, copy] = [join(folder, 'data'), join(folder, 'copy')];
      mkdirSync(copy);
      const open = (database: string): Promise<TestStudio> => testStudio({ data, database, needsPass: true });
      let studio = await open(first);
      const ana = await joined(studio, 'Ana', 'artist');
      const post = async (lines: readonly string[]): Promise<unknown> =>
        (
          await ask(studio, 'api/entries', {
            method: 'POST',
            headers: { cookie: ana.cookie, 'content-type': 'application/x-ndjson' },
            body: lines.join('\n'),
          })
        ).json();
      const pull = async (after = 0) =>
        (await (
          await ask(studio, `api/entries?shot=shot-1&after=${after}`, { headers: { cookie: ana.cookie } })
        ).json()) as { entries: { id: string }[]; seals: string[]; cursor: number; at: string | null };
      const line = (id: string): string => JSON.stringify(entry(pinBody(), 1, ana.writer, id));
      await post([line('before')]);
      // As with --https, whose keys belong to the copy.
      mkdirSync(join(data, 'https'));
      const backup = commands('Backup and restoring');
      expect(backup.length).toBeGreaterThanOrEqual(2);
      for (const command of backup) run(command, first, data, copy);
      await post([line('since')]);
      const seen = await pull();
      await studio.close();

      // Another machine: an empty database, and the data folder out of the copy.
      rmSync(data, { recursive: true });
      for (const command of commands('Restoring a house')) {
        mkdirSync(data, { recursive: true });
        run(command, second, data, copy);
      }
      studio = await open(second);
      try {
        expect((await pull()).entries.map(({ id }) => id)).toEqual(['before']);
        expect(await pull(seen.cursor)).toMatchObject({ entries: [], at: null });
        const lines = seen.entries.map((one, n) => sealedLine(one as never, seen.seals[n] ?? ''));
        expect(await post(lines)).toMatchObject({ accepted: ['before', 'since'], refused: [] });
      } finally {
        await studio.close();
      }
    });
  },
);
