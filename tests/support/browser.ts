/** Finds a Chromium (installs one where there is none), starts it, opens tablet-sized pages. */
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { setTimeout as delay } from 'node:timers/promises';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright';

const PLACES = [
  process.env['FAIRPEG_CHROMIUM'],
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/usr/bin/google-chrome-stable',
];

/** WebGL2 without a graphics card comes from SwiftShader. Nothing here talks to a network by itself. */
const FLAGS = [
  '--no-sandbox',
  '--disable-gpu-sandbox',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
];

const run = (command: string, args: readonly string[]): boolean =>
  spawnSync(command, args, { stdio: ['ignore', 'inherit', 'inherit'], timeout: 600_000 }).status === 0;

/** The browser's path, or nothing. `FAIRPEG_CHROMIUM` goes first. */
export const findChromium = (): string | undefined =>
  [...PLACES, chromium.executablePath()].find(
    (path) => path !== undefined && path !== '' && existsSync(path),
  );

/** The browser's path, after installing one where there is none. Throws one sentence when nothing works. */
export function ensureChromium(): string {
  const asRoot = process.getuid?.() === 0 ? [] : ['sudo', '-n'];
  const debian = (...args: readonly string[]): boolean => {
    const [command, ...rest] = [...asRoot, 'apt-get', ...args];
    return command !== undefined && run(command, rest);
  };
  const ways = [
    (): boolean => true,
    (): boolean =>
      run('npx', ['playwright', 'install', ...(asRoot.length === 0 ? ['--with-deps'] : []), 'chromium']),
    (): boolean => debian('update') && debian('install', '-y', '--no-install-recommends', 'chromium'),
  ];
  for (const way of ways) {
    way();
    const found = findChromium();
    if (found !== undefined) return found;
  }
  throw new Error(
    'No Chromium was found and none could be installed: install it by hand and set FAIRPEG_CHROMIUM to its path.',
  );
}

/** A headless Chromium of its own; close it when done. */
export const launch = (flags: readonly string[] = []): Promise<Browser> =>
  chromium.launch({ executablePath: ensureChromium(), args: [...FLAGS, ...flags] });

/** A Chromium that keeps its data in `folder`, so that it can be killed and started again. */
export const launchKept = (folder: string, flags: readonly string[] = []): Promise<BrowserContext> =>
  chromium.launchPersistentContext(folder, {
    executablePath: ensureChromium(),
    args: [...FLAGS, ...flags],
    ...TABLETS.landscape,
  });

const tablet = (width: number, height: number) =>
  ({ viewport: { width, height }, deviceScaleFactor: 2, hasTouch: true, isMobile: false }) as const;

/** CSS px; twice as many device px. */
export const TABLETS = {
  landscape: tablet(1180, 820),
  portrait: tablet(820, 1180),
  large: tablet(1366, 1024),
} as const;

export async function openTablet(
  browser: Browser,
  kind: keyof typeof TABLETS = 'landscape',
): Promise<BrowserContext> {
  const context = await browser.newContext(TABLETS[kind]);
  // As long as a whole test may take (`vite.config.ts`): a busy machine is no failure.
  context.setDefaultTimeout(200_000);
  // The runner of the benches marks inner functions with a helper that a page does not have.
  await context.addInitScript('globalThis.__name ??= (fn) => fn;');
  return context;
}

/**
 * Waits until `look` is true in the page (the test's own time limit ends it). Playwright's `waitForFunction`
 * needs `eval` in the page, which the built app's content security policy forbids.
 */
export async function until<A>(page: Page, look: (argument: A) => boolean, argument: A): Promise<void> {
  for (;;) {
    // A page that is just being left has nothing to evaluate in.
    const seen = await page
      .evaluate(look as (argument: unknown) => boolean, argument)
      .catch((error: unknown) => {
        if (page.isClosed() || !/context was destroyed|because of a navigation/.test(String(error)))
          throw error;
        return false;
      });
    if (seen) return;
    await delay(50);
  }
}
