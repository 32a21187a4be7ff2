/**
 * Builds the app into `dist/app`: page, service worker, sample shots, headers for the host. Fails when a
 * budget is passed. `--out FOLDER` builds elsewhere, `--name NAME` states the build's name (tests of
 * updates need two builds that differ).
 */
import { readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join, relative, resolve, sep } from 'node:path';
import { parseArgs } from 'node:util';
import { build } from 'vite';
import {
  brotli,
  type Chunk,
  FIRST_LOAD_BYTES,
  firstLoad,
  KEPT_LATER,
  PRECACHE_BYTES,
  weigh,
} from './budgets.ts';
import { headersOf, PAGE_POLICY } from './headers.ts';
import { keepReleases } from './releases.ts';
import { copySamples } from './samples.ts';
import { buildWorker } from './worker.ts';

const ROOT = resolve(import.meta.dirname, '../../..');
const { values } = parseArgs({ options: { out: { type: 'string' }, name: { type: 'string' } } });
const out = resolve(values.out ?? join(ROOT, 'dist/app'));
const manifestFile = join(out, 'build-manifest.json');

// A test runner's own mode would build an app for development: without a service worker.
process.env['NODE_ENV'] = 'production';

const putEarlierBack = keepReleases(out);

await build({
  configFile: join(ROOT, 'vite.config.ts'),
  logLevel: 'warn',
  build: {
    outDir: out,
    manifest: 'build-manifest.json',
    // A named build stands for another release: its parts bear other names even where the sources are the same.
    ...(values.name !== undefined && {
      rolldownOptions: { output: { chunkFileNames: `assets/[name]-${values.name}-[hash].js` } },
    }),
  },
  plugins: [
    {
      name: 'page-policy',
      transformIndexHtml: () => [
        {
          tag: 'meta',
          attrs: { 'http-equiv': 'Content-Security-Policy', content: PAGE_POLICY },
          injectTo: 'head-prepend',
        },
        ...(values.name === undefined
          ? []
          : [{ tag: 'meta', attrs: { name: 'build', content: values.name }, injectTo: 'head' as const }]),
      ],
    },
  ],
});

const listFiles = (): string[] =>
  readdirSync(out, { recursive: true, withFileTypes: true })
    .filter((found) => found.isFile())
    .map((found) => relative(out, join(found.parentPath, found.name)).split(sep).join('/'))
    .sort();

const manifest = JSON.parse(readFileSync(manifestFile, 'utf8')) as Record<string, Chunk>;
rmSync(manifestFile);
const first = firstLoad(manifest);
const js = weigh(
  'first load, JavaScript after Brotli',
  out,
  first.js,
  FIRST_LOAD_BYTES,
  (data) => brotli(data).length,
);

const needed = new Set(['index.html', ...first.js, ...first.css]);
const shell = listFiles().filter(
  (file) => !file.endsWith('.map') && !/^(screenshots|schemas)\//.test(file) && file !== 'sw.js',
);
const later = shell.filter((file) => !needed.has(file) && KEPT_LATER.test(file));
const precached = shell.filter((file) => !later.includes(file));
const precache = weigh('precache', out, precached, PRECACHE_BYTES, (data) => data.length);
const laterBytes = later.reduce((sum, file) => sum + statSync(join(out, file)).size, 0);

await buildWorker({ root: ROOT, out, precached, later });
const samples = copySamples(join(ROOT, 'sample-shots'), join(out, 'samples'));

putEarlierBack();
const files = listFiles();
writeFileSync(
  join(out, 'headers.json'),
  `${JSON.stringify(Object.fromEntries(files.map((file) => [file, headersOf(file)])), undefined, 1)}\n`,
);
for (const file of files) {
  if (!/\.(html|js|css|json|webmanifest|svg|ttf)$/.test(file) || file.startsWith('samples/')) continue;
  writeFileSync(join(out, `${file}.br`), brotli(readFileSync(join(out, file))));
}
writeFileSync(
  join(out, 'weights.json'),
  `${JSON.stringify({ firstLoadJsBytes: js.bytes, precacheBytes: precache.bytes, laterBytes })}\n`,
);
process.stdout.write(
  [
    js.line,
    precache.line,
    `kept when idle: ${(laterBytes / 1000).toFixed(1)} kB in ${later.length} files`,
    `sample shots: ${samples.length}`,
    '',
  ].join('\n'),
);
