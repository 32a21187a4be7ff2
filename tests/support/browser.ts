/** Finds a Chromium (installs one where there is none), starts it, opens tablet-sized pages. */
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { setTimeout as delay } from 'node:timers/promises';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright';
import { aptInstall, type Installer, ranWell, thisInstaller } from './debian.ts';

const PLACES = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/usr/bin/google-chrome-stable',
];

/**
 * The last `--disable-features` counts, so this holds those that Playwright turns off and matter here, too. Then the pages
 * that Chromium draws for its own address field at each new tab, which a headless one shows to nobody: without a graphics
 * card they took as much of the processor as Fairpeg's own start.
 */
const FEATURES_OFF = [
  'AvoidUnnecessaryBeforeUnloadCheckSync',
  'DestroyProfileOnBrowserClose',
  'HttpsUpgrades',
  'HttpsFirstBalancedModeAutoEnable',
  'LensOverlay',
  'MediaRouter',
  'NetworkTimeServiceQuerying',
  'OptimizationHints',
  'PaintHolding',
  'PreconnectToSearch',
  'ThirdPartyStoragePartitioning',
  'PreloadTopChromeWebUI',
  'WebUIOmniboxAimPopup',
  'WebUIOmniboxFullPopup',
  'WebUIOmniboxPopup',
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
  `--disable-features=${FEATURES_OFF.join(',')}`,
];

/** Where a browser is looked for, and what it is installed with; tests put their own in its place. */
export interface Machine extends Installer {
  readonly places: readonly string[];
}

const thisMachine = (): Machine => ({
  places: [process.env['FAIRPEG_CHROMIUM'] ?? '', ...PLACES, chromium.executablePath()].filter(
    (path) => path !== '',
  ),
  ...thisInstaller(),
});

/** There, and able to start: some systems put a stub in its place, or leave out what it needs. */
const runs = (path: string): boolean =>
  existsSync(path) && spawnSync(path, ['--version'], { stdio: 'ignore', timeout: 60_000 }).status === 0;

/** The browser's path, after installing one where there is none. Throws one sentence when nothing works. */
export function installedChromium({ places, ...installer }: Machine): string {
  const ways = [
    (): boolean => true,
    (): boolean => aptInstall(installer, 'chromium'),
    (): boolean =>
      ranWell(
        installer,
        'npx',
        'playwright',
        'install',
        ...(installer.isRoot ? ['--with-deps'] : []),
        'chromium',
      ),
  ];
  for (const way of ways) {
    way();
    const found = places.find(runs);
    if (found !== undefined) return found;
  }
  throw new Error(
    'No Chromium was found and none could be installed: install it by hand and set FAIRPEG_CHROMIUM to its path.',
  );
}

let found: string | undefined;

/** Looked for once a process. `FAIRPEG_CHROMIUM` goes first. */
export function ensureChromium(): string {
  found ??= installedChromium(thisMachine());
  return found;
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

/**
 * A context of a tablet's size. `devicePx` for each CSS px: 2 as on a tablet; 1 where no test asks how finely the paper
 * is drawn, which without a graphics card is a quarter of the work.
 */
export async function openTablet(
  browser: Browser,
  kind: keyof typeof TABLETS = 'landscape',
  devicePx: 1 | 2 = 2,
): Promise<BrowserContext> {
  const context = await browser.newContext({ ...TABLETS[kind], deviceScaleFactor: devicePx });
  // As long as a whole test may take (`vite.config.ts`): a busy machine is no failure.
  context.setDefaultTimeout(200_000);
  // The runner of the benches marks inner functions with a helper that a page does not have.
  await context.addInitScript('globalThis.__name ??= (fn) => fn;');
  return context;
}

/** Shorter than a test may take, so that what was waited for in vain is named. */
const longestWaitMs = 150_000;

/**
 * Waits until `look` is true in the page; after two and a half minutes rejects with what was looked for. Asked from here by a timer:
 * Playwright's `waitForFunction` looks at each animation frame, which a page that draws nothing may not be
 * given, and needs `eval`, which the built app's content security policy forbids.
 */
export async function until<A = undefined>(
  page: Page,
  look: (argument: A) => boolean | Promise<boolean>,
  argument?: A,
): Promise<void> {
  for (const startMs = Date.now(); Date.now() - startMs < longestWaitMs; await delay(50)) {
    // A page that is just being left has nothing to evaluate in.
    const seen = await page
      .evaluate(look as (argument: unknown) => boolean | Promise<boolean>, argument)
      .catch((error: unknown) => {
        if (page.isClosed() || !/context was destroyed|because of a navigation/.test(String(error)))
          throw error;
        return false;
      });
    if (seen) return;
  }
  throw new Error(`Never true at ${page.url()}: ${String(look)} of ${JSON.stringify(argument)}`);
}
