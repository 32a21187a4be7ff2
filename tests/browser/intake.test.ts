/** Intake through the page's workers onto the tablet's own shelf: folders, zips, drops; stopped and killed. */
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { unzipSync, zipSync } from 'fflate';
import type { Browser, Page } from 'playwright';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { launch, until } from '../support/browser.ts';
import type { IntakeHarness, PassedFile } from '../support/intake-harness.ts';
import { type ModulePage, modulePage } from '../support/module-page.ts';
import { drawn } from '../unit/intake/make.ts';

type InPage = typeof globalThis & { intake: IntakeHarness };

let browser: Browser;
let tab: ModulePage;
let folder = '';
beforeAll(async () => {
  browser = await launch();
  tab = await modulePage(browser);
  folder = await mkdtemp(join(tmpdir(), 'fairpeg-intake-'));
});
afterAll(async () => {
  await tab?.close();
  await browser?.close();
  await rm(folder, { recursive: true, force: true });
});

async function ready(page: Page): Promise<Page> {
  await page.addScriptTag({ type: 'module', url: '/tests/support/intake-harness.ts' });
  await until(page, () => 'intake' in globalThis);
  return page;
}

/** A page with an empty shelf. */
async function fresh(): Promise<Page> {
  const page = await tab.another();
  await page.evaluate(async () => {
    for (const { name } of await indexedDB.databases())
      await new Promise((done) => {
        const request = indexedDB.deleteDatabase(name ?? '');
        request.onsuccess = request.onerror = request.onblocked = done;
      });
  });
  await page.reload();
  return ready(page);
}

const shot = async (
  title: string,
  labels: readonly string[],
  seed: number,
): Promise<Record<string, Uint8Array>> =>
  Object.fromEntries(
    await Promise.all(
      labels.flatMap((label, i) =>
        (['rough', 'clean'] as const).map(
          async (layer, k) =>
            [
              `${title}/${layer}/${label}.png`,
              await drawn(seed + i * 2 + k, layer === 'rough' ? { colour: '#a03040' } : {}),
            ] as const,
        ),
      ),
    ),
  );
const passed = (files: Readonly<Record<string, Uint8Array>>): PassedFile[] =>
  Object.entries(files).map(([path, bytes]) => ({ path, base64: Buffer.from(bytes).toString('base64') }));
const takeList = (page: Page, files: readonly PassedFile[], stopAfter?: number) =>
  page.evaluate(({ files, stopAfter }) => (globalThis as InPage).intake.takeList(files, stopAfter), {
    files,
    stopAfter,
  });
const state = (page: Page) => page.evaluate(() => (globalThis as InPage).intake.shelfState());

describe('onto the shelf', () => {
  it('comes a folder chosen in a picker, with odd files named', async () => {
    const files = await shot('sc04', ['0001', '0003', '0003A'], 10);
    const root = join(folder, 'sc04');
    const odd = {
      'sc04/clean/0005.png': (files['sc04/clean/0001.png'] ?? new Uint8Array()).subarray(0, 70),
      'sc04/clean/0007.png': new Uint8Array(),
      'sc04/rough/0005.png': new Uint8Array(
        await sharp(await drawn(60))
          .jpeg()
          .toBuffer(),
      ),
      'sc04/notes.txt': Buffer.from('thinner'),
      'sc04/.DS_Store': Buffer.from('x'),
    };
    for (const [path, bytes] of Object.entries({ ...files, ...odd })) {
      const place = join(root, path.slice(5));
      await mkdir(dirname(place), { recursive: true });
      await writeFile(place, bytes);
    }
    const page = await fresh();
    await page.evaluate(() => {
      document.body.innerHTML = '<input id="pick" type="file" webkitdirectory>';
    });
    await page.setInputFiles('#pick', root);
    const taken = await page.evaluate(() =>
      (globalThis as InPage).intake.takeInput(document.querySelector('#pick') as HTMLInputElement),
    );
    expect(taken.shots).toEqual([
      { title: 'sc04', added: 7, unchanged: 0, drawings: ['1:rc', '3:rc', '3A:rc', '5:r'] },
    ]);
    expect(taken.odd).toEqual([
      'sc04/clean/0007.png: it is empty (0 bytes). Copy or export it again.',
      'sc04/notes.txt: it is no picture this app knows. It was left out.',
      'sc04/rough/0005.png: it is a JPEG picture in spite of its name; it was taken as that.',
      'sc04/clean/0005.png: it ends in the middle of the picture. Copy or export it again.',
    ]);
    expect(await state(page)).toEqual({ shots: ['sc04'], images: 7, whole: true });
    await page.close();
  });

  it('comes a zip, and goes out as a zip that another program opens', async () => {
    const page = await fresh();
    const files = await shot('f', ['1', '2'], 30);
    const zip = zipSync(
      Object.fromEntries(Object.entries(files).map(([path, bytes]) => [path.slice(2), bytes])),
    );
    const taken = await takeList(page, passed({ 'sc09.zip': zip }));
    expect(taken.shots).toEqual([{ title: 'sc09', added: 4, unchanged: 0, drawings: ['1:rc', '2:rc'] }]);
    const out = unzipSync(
      Buffer.from(await page.evaluate(() => (globalThis as InPage).intake.zipOfFirstShot()), 'base64'),
    );
    expect(Object.keys(out)).toEqual(
      [
        'shot.json',
        'exposure.csv',
        'rough/0001.png',
        'clean/0001.png',
        'rough/0002.png',
        'clean/0002.png',
      ].map((path) => `sc09/${path}`),
    );
    expect(
      Buffer.from(out['sc09/clean/0002.png'] ?? []).equals(Buffer.from(files['f/clean/2.png'] ?? [])),
    ).toBe(true);
    await page.close();
  });

  it('comes a dropped folder of more than a hundred files, and a folder handle', async () => {
    const page = await fresh();
    const labels = Array.from({ length: 60 }, (_, i) => String(i + 1));
    const files = await shot('drop', labels, 100);
    const taken = await page.evaluate((list) => (globalThis as InPage).intake.takeDrop(list), passed(files));
    expect(taken.shots?.map(({ title, added }) => [title, added])).toEqual([['drop', 120]]);
    const picked = await page.evaluate(
      (list) => (globalThis as InPage).intake.takePickedFolder(list),
      passed(await shot('handle', ['7'], 300)),
    );
    expect(picked.shots).toEqual([{ title: 'handle', added: 2, unchanged: 0, drawings: ['7:rc'] }]);
    expect(await state(page)).toMatchObject({ images: 122, whole: true });
    await page.close();
  });
});

describe('a long intake', () => {
  const labels = Array.from({ length: 20 }, (_, i) => String(i + 1));

  it('is stopped in the middle and repeated', async () => {
    const page = await fresh();
    const files = passed(await shot('long', labels, 400));
    expect(await takeList(page, files, 7)).toMatchObject({ stopped: 'AbortError' });
    expect(await state(page)).toMatchObject({ shots: [] });
    expect((await takeList(page, files)).shots).toMatchObject([{ title: 'long', added: 40 }]);
    expect(await state(page)).toEqual({ shots: ['long'], images: 40, whole: true });
    await page.close();
  });

  it('is killed in the middle: the shelf is whole, and the same files go in again', async () => {
    const page = await fresh();
    const kept = passed(await shot('kept', ['1'], 600));
    await takeList(page, kept);
    const files = passed(await shot('killed', labels, 700));
    // Not awaited: the page is closed while it runs.
    const running = page
      .evaluate(async (list) => {
        const running = (globalThis as InPage).intake.takeList(list);
        Object.assign(globalThis, { running });
        await running;
      }, files)
      .catch((error: unknown) => error);
    await until(page, async () => (await indexedDB.databases()).length > 0 && 'running' in globalThis);
    await page.close({ runBeforeUnload: false });
    await running;
    const again = await ready(await tab.another());
    const after = await state(again);
    expect(after.whole).toBe(true);
    expect(after.shots).toContain('kept');
    expect((await takeList(again, files)).shots).toMatchObject([{ title: 'killed' }]);
    expect(await state(again)).toMatchObject({ whole: true });
    await again.close();
  });
});
