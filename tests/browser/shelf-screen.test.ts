/** The shelf and the intake on screen. */
import { readFile } from 'node:fs/promises';
import { strToU8, zipSync } from 'fflate';
import type { Page } from 'playwright';
import { describe, expect, test } from 'vitest';
import { kettleFiles, onPaper, openShelf, title } from './desk-app.ts';
import { app, browser, startKettle } from './kettle-browser.ts';

startKettle();

const pick = (page: Page) => page.locator('[data-pick=files]');

describe('the shelf', () => {
  test('shows key drawings, what is done, sizes and whether they stay', async () => {
    const page = await openShelf(browser, app);
    const row = page.locator('.shot-row');
    expect(
      await row.getByRole('img').evaluateAll((all) => all.map((e) => e.getAttribute('aria-label'))),
    ).toEqual(['Drawing 1', 'Drawing 6', 'Drawing 7']);
    expect(await row.innerText()).toContain(
      '6 of 7 clean: keys 3 of 3, breakdowns 1 of 1, in-betweens 2 of 3',
    );
    // 12 frames at 12 a second.
    expect(await row.innerText()).toContain('12 frames, 1 s');
    expect(await page.locator('.kept-here').innerText()).toMatch(/kept on this tablet, room for/);
    await page.context().close();
  });

  test('a sample taken off stays off after a reload, and comes back when asked for', async () => {
    const page = await openShelf(browser, app);
    await page.getByRole('button', { name: `Take off the shelf: ${title}` }).tap();
    await page.getByRole('button', { name: 'Leave it' }).tap();
    await page.getByRole('heading', { name: title }).waitFor();
    await page.getByRole('button', { name: `Take off the shelf: ${title}` }).tap();
    await page.getByRole('button', { name: 'Take it off' }).tap();
    await page.getByRole('heading', { name: 'The shelf is empty' }).waitFor();
    await page.reload();
    await page.getByRole('heading', { name: 'The shelf is empty' }).waitFor();
    await page.getByRole('button', { name: 'Lay out the sample shots' }).tap();
    await page.getByRole('heading', { name: title }).waitFor();
    await page.context().close();
  });

  test('a shot written out can be taken in again elsewhere', async () => {
    const page = await openShelf(browser, app);
    await page.getByRole('button', { name: `Write out ${title}` }).tap();
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: 'Save', exact: true }).tap(),
    ]);
    expect(download.suggestedFilename()).toBe(`${title}.zip`);
    const path = await download.path();
    await page.getByRole('button', { name: `Take off the shelf: ${title}` }).tap();
    await page.getByRole('button', { name: 'Take it off' }).tap();
    await page.getByRole('heading', { name: 'The shelf is empty' }).waitFor();
    await pick(page).setInputFiles({
      name: 'kettle.zip',
      mimeType: 'application/zip',
      buffer: await readFile(path),
    });
    await page.getByRole('link', { name: `Open “${title}”` }).tap();
    await onPaper(page, '1');
    await page.context().close();
  });
});

describe('the intake', () => {
  test('takes a zip in, names what it does not take, and opens the shot', async () => {
    const page = await openShelf(browser, app);
    const files = Object.fromEntries(
      [...(await kettleFiles())].map(([path, data]) => [`sc02/${path}`, new Uint8Array(data)]),
    );
    const zip = zipSync({
      ...files,
      'sc02/clean/0008.png': new Uint8Array(),
      'sc02/read me.txt': strToU8('hello'),
    });
    await pick(page).setInputFiles({
      name: 'sc02.zip',
      mimeType: 'application/zip',
      buffer: Buffer.from(zip),
    });
    // Its shot has the title of one on the shelf.
    await page.getByText('No: it is a shot of its own').tap();
    await page.getByRole('button', { name: 'Take them in' }).tap();
    await page.getByRole('link', { name: /^Open/ }).waitFor();
    expect(await page.locator('.odd-files').first().innerText()).toContain('0008.png');
    await page.getByRole('link', { name: /^Open/ }).tap();
    await onPaper(page, '1');
    await page.context().close();
  });

  test('an address of a shot that is gone says so and leads back', async () => {
    const page = await openShelf(browser, app);
    await page.goto(`${app.server.url}#/shot/nowhere`);
    await page.getByText('This shot is not on the shelf of this tablet any more.').waitFor();
    await page.getByRole('link', { name: 'Back to the shelf' }).tap();
    await page.getByRole('heading', { name: title }).waitFor();
    await page.context().close();
  });
});
