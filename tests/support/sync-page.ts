/** The page of `tests/browser/sync-page/`, built and listed as the app is: a tablet without screens. */
import { readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'vite';
import { headersOf } from '../../src/app/build/headers.ts';
import { ROOT } from './built-app.ts';

/** Builds it into `app`, a folder that a studio server can serve. */
export async function buildSyncPage(app: string): Promise<void> {
  await build({
    configFile: false,
    root: join(ROOT, 'tests/browser/sync-page'),
    base: './',
    logLevel: 'error',
    build: { outDir: app, target: 'es2023' },
  });
  const files = readdirSync(app, { recursive: true }).map(String);
  const headers = Object.fromEntries(files.map((file) => [file, headersOf(file)]));
  writeFileSync(join(app, 'headers.json'), JSON.stringify(headers));
}
