/** The built app with the sample shot of Wenna, whose faults were planted on purpose, and a hand on its checks. */
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Locator, Page } from 'playwright';
import { type AppServer, appServer } from '../support/app-server.ts';
import { openTablet, type TABLETS, until } from '../support/browser.ts';
import { builtApp } from '../support/built-app.ts';
import { onPaper } from './desk-app.ts';

const id = 'wenna-hears-the-ferry';
const title = 'Wenna hears the ferry';

export interface WennaApp {
  readonly server: AppServer;
  close(): Promise<void>;
}

interface Samples {
  readonly shots: readonly { readonly id: string; readonly files: readonly { readonly path: string }[] }[];
}
interface Told {
  levels: { drawings: { label: string }[]; exposures: { drawing: string }[] }[];
}

/** `only`: no more than these drawings, as measuring takes its time; all when left out. */
export async function wennaApp(only?: readonly string[], built?: string): Promise<WennaApp> {
  const folder = mkdtempSync(join(tmpdir(), 'fairpeg-checks-'));
  cpSync(built ?? (await builtApp()), folder, { recursive: true });
  const list = join(folder, 'samples/index.json');
  const { shots } = JSON.parse(readFileSync(list, 'utf8')) as Samples;
  const wenna = shots.filter((shot) => shot.id === id);
  writeFileSync(
    list,
    JSON.stringify({
      shots: wenna.map((shot) => ({ ...shot, files: shot.files.filter(({ path }) => isIn(path, only)) })),
    }),
  );
  if (only) {
    const paper = join(folder, 'samples', id, 'shot.json');
    const told = JSON.parse(readFileSync(paper, 'utf8')) as Told;
    for (const level of told.levels) {
      level.drawings = level.drawings.filter(({ label }) => only.includes(label));
      level.exposures = level.exposures.filter(({ drawing }) => only.includes(drawing));
    }
    writeFileSync(paper, JSON.stringify(told));
  }
  const server = await appServer({ folder });
  return {
    server,
    async close() {
      await server.stop();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Pictures are named by their drawing's number, `clean/0013.png`. */
function isIn(path: string, only: readonly string[] | undefined): boolean {
  const number = /(\d+)\.png$/.exec(path)?.[1];
  return !only || number === undefined || only.includes(String(Number(number)));
}

export async function openWenna(
  browser: Browser,
  { server }: WennaApp,
  kind: keyof typeof TABLETS = 'landscape',
  prepare?: (page: Page) => Promise<void>,
): Promise<Page> {
  const tablet = await openTablet(browser, kind, 1);
  const page = await tablet.newPage();
  await prepare?.(page);
  await page.goto(server.url);
  await page.getByRole('heading', { name: title }).waitFor();
  await until(page, () => !document.querySelector('.progress-line'), undefined);
  await page.getByRole('heading', { name: title }).tap();
  await onPaper(page, '1');
  return page;
}

export async function openChecks(page: Page): Promise<Locator> {
  await page.getByRole('button', { name: 'Checks beside the paper' }).tap();
  const panel = page.getByRole('complementary', { name: 'Checks' });
  await panel.waitFor();
  return panel;
}

/** Waits until every drawing was measured, and what was found is shown. */
export const checked = (page: Page): Promise<void> =>
  until(
    page,
    () => /^All \d+ drawings are checked/.test(document.querySelector('.how-far p')?.textContent ?? ''),
    undefined,
  );

/** A finding's slip by its check and drawing. */
export const slip = (page: Page, check: string, drawing: string): Locator =>
  page.locator(`.finding[data-check="${check}"][data-drawing="${drawing}"]`);
