/**
 * The pictures of README, taken from the built app on a sample shot: `npm run pictures`, by hand, after a change of
 * looks. Writes `public/screenshots/`; the moving picture is a WebP of less than 400 kB that runs twice and stops.
 */
import { statSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright';
import sharp from 'sharp';
import { appServer } from './app-server.ts';
import { launch, TABLETS, until } from './browser.ts';
import { builtApp, ROOT } from './built-app.ts';
import { type At, fingers, stroke } from './pointers.ts';

const folder = join(ROOT, 'public/screenshots');
const shotTitle = 'Wenna hears the ferry';
const widthPx = 860;
const mostBytes = 400_000;

interface Frame {
  readonly png: Buffer;
  readonly ms: number;
  /** Where a finger lies. */
  readonly finger: At | undefined;
}

const shown = (page: Page) => page.locator('.number').getAttribute('data-shown');

/** The drawing on the paper is there in full, and nothing recedes. */
async function sharpNow(page: Page): Promise<void> {
  await until(page, () => {
    const quality = document.querySelector<HTMLElement>('.number')?.dataset['quality'];
    return quality !== undefined && quality !== 'thumb';
  });
}

async function still(page: Page, name: string): Promise<void> {
  await until(page, () => document.getAnimations().every(({ playState }) => playState !== 'running'));
  const png = await page.screenshot();
  await sharp(png)
    .png({ palette: true, colours: 64, effort: 10 })
    .toFile(join(folder, `${name}.png`));
}

/** A thumb runs down the exposure sheet and back; then a finger rests on the paper, and the rough lies there. */
async function flipping(page: Page): Promise<void> {
  const sheet = await page.getByRole('slider', { name: 'Exposure sheet' }).boundingBox();
  const stage = await page.locator('.stage').boundingBox();
  if (!sheet || !stage) throw new Error('There is no desk.');
  const frames: Frame[] = [];
  const take = async (ms: number, finger?: At): Promise<void> => {
    await sharpNow(page);
    frames.push({ png: await page.screenshot(), ms, finger });
  };
  await page.keyboard.press('Home');
  await take(900);
  const x = sheet.x + sheet.width / 2;
  // A row is 44 px high: four points in each, down to the last that is in view.
  const down: At[] = Array.from({ length: Math.floor((sheet.height - 40) / 11) }, (_, n) => ({
    x,
    y: sheet.y + 20 + n * 11,
  }));
  await fingers(page, 'touchStart', [down[0]!]);
  let before = await shown(page);
  const path: At[] = [];
  for (const at of down) {
    await fingers(page, 'touchMove', [at]);
    await page.waitForTimeout(60);
    const now = await shown(page);
    if (now === before) continue;
    before = now;
    path.push(at);
    await take(path.length === 1 ? 260 : 190, at);
    if (path.length === 10) break;
  }
  for (const at of path.slice(2, -1).reverse()) {
    await fingers(page, 'touchMove', [at]);
    await page.waitForTimeout(60);
    await take(150, at);
  }
  await fingers(page, 'touchEnd', []);
  // What recedes under a working hand comes back.
  await until(page, () => document.querySelector('.working') === null);
  await page.waitForTimeout(300);
  await take(700);
  const rest: At = { x: stage.x + stage.width * 0.72, y: stage.y + stage.height * 0.6 };
  await fingers(page, 'touchStart', [rest]);
  await page.waitForTimeout(900);
  await take(1100, rest);
  await fingers(page, 'touchEnd', []);
  await until(page, () => document.querySelector('.working') === null);
  await page.waitForTimeout(300);
  await take(900);
  await write(frames);
}

async function write(frames: readonly Frame[]): Promise<void> {
  const { width: fullPx } = TABLETS.landscape.viewport;
  const pages = await Promise.all(
    frames.map(async ({ png, finger }) => {
      const tip =
        finger &&
        Buffer.from(
          `<svg xmlns="http://www.w3.org/2000/svg" width="64" height="64"><circle cx="32" cy="32" r="26" fill="#141414" fill-opacity="0.28" stroke="#ffffff" stroke-width="3"/></svg>`,
        );
      const marked = tip
        ? await sharp(png)
            .composite([
              { input: tip, left: Math.max(0, Math.round(finger.x - 32)), top: Math.round(finger.y - 32) },
            ])
            .toBuffer()
        : png;
      const scale = widthPx / fullPx;
      return sharp(marked)
        .resize({ width: Math.round(fullPx * scale), kernel: 'lanczos3' })
        .removeAlpha()
        .png()
        .toBuffer();
    }),
  );
  const file = join(folder, 'flipping.webp');
  for (const quality of [60, 45, 30, 20]) {
    await sharp(pages, { join: { animated: true } })
      .webp({
        quality,
        effort: 6,
        loop: 2,
        delay: frames.map(({ ms }) => ms),
        mixed: true,
        smartSubsample: true,
      })
      .toFile(file);
    if (statSync(file).size < mostBytes) break;
  }
  console.log(`flipping.webp: ${frames.length} frames, ${statSync(file).size} bytes`);
  if (statSync(file).size >= mostBytes) throw new Error(`It is larger than ${mostBytes} bytes.`);
}

/** A ring round the face by pen, with words: what a director leaves. */
async function note(page: Page): Promise<void> {
  const box = await page.locator('.stage').boundingBox();
  if (!box) throw new Error('There is no stage.');
  const points = Array.from({ length: 26 }, (_, n) => ({
    x: box.x + box.width * (0.5 + 0.07 * Math.cos(n * 0.26 - 1)),
    y: box.y + box.height * (0.34 + 0.12 * Math.sin(n * 0.26 - 1)),
  }));
  await stroke(page, points);
  await page.keyboard.type('The cheek loses its volume here');
  await page.keyboard.press('Enter');
}

async function whole(page: Page, panel: RegExp, name: string): Promise<void> {
  await page.getByRole('button', { name: panel }).tap();
  await page.locator('dialog[open]').waitFor();
  await page.waitForTimeout(2500);
  await still(page, name);
  await page.keyboard.press('Escape');
  await page.locator('dialog[open]').waitFor({ state: 'detached' });
}

const browser = await launch();
const server = await appServer({ folder: await builtApp() });
try {
  const context = await browser.newContext({ ...TABLETS.landscape, deviceScaleFactor: 1 });
  context.setDefaultTimeout(300_000);
  await context.addInitScript('globalThis.__name ??= (fn) => fn;');
  const page = await context.newPage();
  await page.goto(server.url);
  await page.getByRole('heading', { name: shotTitle }).waitFor();
  await until(page, () => !document.querySelector('.progress-line'));
  await page.getByRole('button', { name: 'Understood' }).tap();
  await page.getByRole('heading', { name: shotTitle }).tap();
  await page.locator('.number[data-shown]').waitFor();
  await sharpNow(page);
  await flipping(page);
  await still(page, 'desk-wide');
  await note(page);
  // The whole shot is measured, or the lists would tell of a part.
  await page.getByRole('button', { name: /^Checks/ }).tap();
  const isMeasured = () =>
    page.evaluate(() =>
      /^All \d+ drawings are checked/.test(document.querySelector('.how-far p')?.textContent ?? ''),
    );
  // A whole shot takes minutes on a slow machine.
  for (const endMs = Date.now() + 1_200_000; !(await isMeasured()); await page.waitForTimeout(1000))
    if (Date.now() > endMs) throw new Error('The shot was not measured within 20 minutes.');
  await still(page, 'checks');
  await page.getByRole('button', { name: /^Checks/ }).tap();
  await whole(page, /^Fix list/, 'fix-list');
  await whole(page, /^Ready/, 'ready');
  await whole(page, /^Show/, 'show');
  await page.setViewportSize(TABLETS.portrait.viewport);
  await sharpNow(page);
  await still(page, 'desk-narrow');
  await page.setViewportSize(TABLETS.landscape.viewport);
  await page.getByRole('button', { name: 'Back to the shelf' }).tap();
  await page.getByRole('link', { name: 'Today' }).tap();
  await page.getByRole('heading', { name: 'Today' }).waitFor();
  await page.waitForTimeout(2500);
  await still(page, 'today');
} finally {
  await browser.close();
  await server.stop();
}
