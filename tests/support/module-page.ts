/** A page served by Vite from the sources: browser unit tests import single modules into it. */
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, BrowserContext, Page } from 'playwright';
import { createServer } from 'vite';
import { openTablet, TABLETS } from './browser.ts';
import { ROOT } from './built-app.ts';

let counter = 0;

export interface ModulePage {
  readonly page: Page;
  readonly context: BrowserContext;
  /** The dev server's address, ending in `/`. */
  readonly url: string;
  /** Another tab of the same origin and storage. */
  another(): Promise<Page>;
  close(): Promise<void>;
}

const BLANK = '<!doctype html><meta charset="utf-8"><title>modules</title><body></body>';

/**
 * Calls an exported function of a source module inside the page: `path` from the repository's root, such as
 * `/src/line/ink.ts`; arguments and result are plain data. (An `import()` written in a test would be
 * rewritten by the test runner before it reaches the page.)
 */
export const callModule = <T>(
  page: Page,
  path: string,
  name: string,
  ...args: readonly unknown[]
): Promise<T> =>
  page.evaluate<T>(
    `import(${JSON.stringify(path)}).then((module) => module[${JSON.stringify(name)}](...${JSON.stringify(args)}))`,
  );

export interface ModuleServer extends Pick<ModulePage, 'url' | 'close'> {}

/** The address at which any browser finds the sources as modules. */
export async function moduleServer(): Promise<ModuleServer> {
  // Its own folder, so that two suites at once do not rewrite each other's pre-bundled packages.
  const cacheDir = `node_modules/.vite-modules-${process.pid}-${counter++}`;
  const server = await createServer({
    configFile: false,
    root: ROOT,
    cacheDir,
    logLevel: 'error',
    appType: 'custom',
    oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
    // Packages are found at the first import; without this a late find reloads the page under the test.
    optimizeDeps: {
      entries: ['src/**/*.{ts,tsx}', '!src/{server,cli}/**', '!src/**/node/**', '!src/app/build/**'],
    },
    server: { port: 0, host: '127.0.0.1', hmr: false, watch: null },
    plugins: [
      {
        name: 'blank-page',
        configureServer(dev) {
          dev.middlewares.use((request, response, next) => {
            if (request.url !== '/') return next();
            response.setHeader('content-type', 'text/html; charset=utf-8').end(BLANK);
          });
        },
      },
    ],
  });
  await server.listen();
  const url = server.resolvedUrls?.local[0];
  if (url === undefined) throw new Error('The module server has no address.');
  return {
    url,
    async close() {
      await server.close();
      rmSync(join(ROOT, cacheDir), { recursive: true, force: true });
    },
  };
}

export async function modulePage(
  browser: Browser,
  kind: keyof typeof TABLETS = 'landscape',
): Promise<ModulePage> {
  const { url, close } = await moduleServer();
  const context = await openTablet(browser, kind);
  const another = async (): Promise<Page> => {
    const page = await context.newPage();
    await page.goto(url);
    return page;
  };
  const page = await another();
  return {
    page,
    context,
    url,
    another,
    async close() {
      await context.close();
      await close();
    },
  };
}
