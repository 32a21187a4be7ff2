/** What README.md, DEVELOPERS.md and the rooms' READMEs say to run or to look at is there, and runs. */
import { type ChildProcess, spawn } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { ROOT } from '../support/built-app.ts';
import { temporaryFolder } from '../support/studio-server.ts';

const isDoc = (name: string): boolean => name === 'README.md' || name === 'DEVELOPERS.md';
const filesUnder = (folder: string): string[] =>
  readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' }).map((path) => join(folder, path));
const sources = ['src', 'sw', 'tests', 'sample-shots'].flatMap(filesUnder);
const docs = ['README.md', 'DEVELOPERS.md', ...sources.filter((path) => isDoc(basename(path)))];
const textOf = (path: string): string => readFileSync(join(ROOT, path), 'utf8');
const code = sources
  .filter((path) => /\.tsx?$/.test(path) && path !== 'tests/unit/docs.test.ts')
  .map(textOf)
  .join('\n');

/** `code` in a line of text, and what stands between fences. */
const spans = (text: string): string[] =>
  [...text.replace(/^```[^]*?^```/gm, '').matchAll(/`([^`]+)`/g)].map(([, span = '']) => span);
const fenced = (text: string): string[] =>
  [...text.matchAll(/^```[^\n]*\n([^]*?)^```/gm)].flatMap(([, block = '']) => block.split('\n'));

/** Made by a build or a run, or a user's own; everything else that is written like a path is a path here. */
const notHere =
  /^(dist\/|assets\/|bench\.json|releases\.json|headers\.json|shot\.json|exposure\.csv|fairpeg\/|rough\/|clean\/|SHOT\/|app\/|images\/|https\/|public$)/;
const isPath = (span: string): boolean =>
  /^[\w.*/-]+$/.test(span) &&
  (/\.(tsx?|css|json|md|svg|webmanifest)$/.test(span) || /^[\w*-]+(\/[\w.*-]+)*\/$/.test(span));

/** Looked for in the document's own folder, in the rooms, and from the root; `*` stands for any part of a name. */
function isThere(doc: string, path: string): boolean {
  const from = [dirname(doc), join(dirname(doc), '..'), 'src', '.'].map((folder) => join(folder, path));
  if (!path.includes('*')) return from.some((one) => existsSync(join(ROOT, one)));
  const wanted = path
    .replace(/\/$/, '')
    .split('*')
    .map((part) => part.replaceAll('.', '\\.'))
    .join('[^/]*');
  return sources.some((one) => new RegExp(`(^|/)${wanted}(/|$)`).test(one));
}

describe.each(docs)('%s', (doc) => {
  const text = textOf(doc);

  test('names files and folders that are there', () => {
    const paths = spans(text).filter((span) => isPath(span) && !notHere.test(span));
    expect(paths.filter((path) => !isThere(doc, path))).toEqual([]);
    const links = [...text.matchAll(/\]\(([^)#]+)\)/g)].map(([, link = '']) => link);
    const local = links.filter((link) => !/^\w+:/.test(link));
    expect(local.filter((link) => !existsSync(join(ROOT, dirname(doc), link)))).toEqual([]);
  });

  test('names functions, scripts and options that there are', () => {
    const names = spans(text).flatMap((span) => /^([a-z]+[A-Z]\w*)(\(.*\))?$/.exec(span)?.[1] ?? []);
    expect(names.filter((name) => !new RegExp(`\\b${name}\\b`).test(code))).toEqual([]);
    const said = [...spans(text), ...fenced(text)].join('\n');
    const { scripts } = JSON.parse(textOf('package.json')) as { scripts: Record<string, string> };
    const asked = [...said.matchAll(/npm (?:run (?:--silent )?)?([\w:]+)/g)].map(([, name = '']) => name);
    expect(asked.filter((name) => name !== 'ci' && name !== 'run' && !(name in scripts))).toEqual([]);
    const options = [...said.matchAll(/(?<![\w-])--([a-z][a-z-]*)/g)].map(([, name = '']) => name);
    const known = (name: string): boolean =>
      new RegExp(`['"\`]?\\b${name}\\b['"\`]?\\s*:|--${name}\\b`).test(code);
    expect(options.filter((name) => name !== 'silent' && !known(name))).toEqual([]);
  });

  test('names requests that the server answers', () => {
    for (const [, method = '', path = ''] of text.matchAll(/`(GET|PUT|POST|DELETE) (\/api\/[\w/]+)/g)) {
      const place = path.replace(/\/[A-Z][A-Z0-9]+/g, '/:');
      const route = code.replace(/\$\{[^}]+\}|:\w+/g, ':');
      expect(route, `${method} ${path}`).toContain(`'${method}'`);
      expect(route, `${method} ${path}`).toContain(place.split('/:')[0]);
    }
  });
});

describe('the commands of README.md', () => {
  let folder: string;
  beforeAll(() => {
    folder = temporaryFolder();
    // Three drawings of the sample: what is tried is the command and not the measures.
    const sample = 'sample-shots/wenna-hears-the-ferry';
    cpSync(join(ROOT, sample, 'shot.json'), join(folder, 'few/shot.json'));
    for (const layer of ['rough', 'clean'])
      for (const name of readdirSync(join(ROOT, sample, layer)).slice(0, 3))
        cpSync(join(ROOT, sample, layer, name), join(folder, 'few', layer, name));
    mkdirSync(join(folder, 'data'));
  });
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  const commands = fenced(textOf('README.md'))
    .map((line) => line.replace(/\s+#.*$/, ''))
    .filter((line) => line.startsWith('npm run --silent fairpeg -- '));

  /** The arguments, with the reader's folders in place of the words that stand for them. */
  const filled = (command: string): string[] =>
    command
      .replace('npm run --silent fairpeg -- ', '')
      .replace(/ sample-shots\/\S+| FOLDER(?= --(by|beside))/, ` ${join(folder, 'few')}`)
      .replace('NEW-FOLDER', join(folder, 'new'))
      .replace('--shots FOLDER', `--shots ${folder}`)
      .replace('--data FOLDER', `--data ${join(folder, 'data')}`)
      .split(/\s+/);

  const started = (args: readonly string[]): ChildProcess =>
    spawn(
      process.execPath,
      ['--import', join(ROOT, 'node_modules/tsx/dist/loader.mjs'), join(ROOT, 'src/cli/main.ts'), ...args],
      {
        cwd: folder,
        env: { ...process.env, DATABASE_URL: '', TSX_TSCONFIG_PATH: join(ROOT, 'tsconfig.json') },
      },
    );

  test('there are some', () => expect(commands.length).toBeGreaterThan(4));

  test.each(commands)('%s', async (command) => {
    const args = filled(command);
    const serves = args[0] === 'serve';
    const process_ = started(serves ? [...args, '--port', '0'] : args);
    let said = '';
    const ended = new Promise<number | null>((done) => process_.once('close', (status) => done(status)));
    const ready = new Promise<void>((done) => {
      for (const stream of [process_.stdout, process_.stderr])
        stream?.on('data', (data: Buffer) => {
          said += data.toString();
          if (/Fairpeg is at \S+/.test(said)) done();
        });
    });
    try {
      if (serves) {
        await Promise.race([ready, ended]);
        expect(said).toMatch(/Fairpeg is at https?:/);
      } else {
        // 0: nothing found, 1: findings; 2 would be that it could not be done.
        expect([0, 1], said).toContain(await ended);
        expect(said).not.toContain('measuring stopped');
        for (const [at, arg] of args.entries())
          if (/^--(pdf|png|csv|pack|out)$/.test(arg) && args[at + 1] !== undefined)
            expect(existsSync(join(folder, basename(args[at + 1] as string))), args[at + 1]).toBe(true);
      }
    } finally {
      process_.kill('SIGKILL');
      await ended;
    }
  });
});
