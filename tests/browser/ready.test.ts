/** The page that says whether the shot may go to ink and paint, at the built app by touch. */
import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import type { Page } from 'playwright';
import { expect, test } from 'vitest';
import { eventually, kettleFiles, onPaper, openDesk } from './desk-app.ts';
import { found, small } from './everyone.ts';
import { app, browser, startKettle } from './kettle-browser.ts';

startKettle();

const line = (page: Page, title: string) => page.locator('.ready-line').filter({ hasText: title });
const stateOf = (page: Page, title: string): Promise<string | null> =>
  line(page, title).getByRole('img').getAttribute('aria-label');
const openPage = async (page: Page): Promise<void> => {
  await page.getByRole('button', { name: /^Ready\?/ }).tap();
  await page.getByRole('dialog', { name: 'Ready?' }).waitFor();
};

test('what stands in the way is told, leads to its place, and is handed out with the hashes', async () => {
  const page = await openDesk(browser, app);
  await openPage(page);
  // Of the kettle's seven drawings the fifth has no clean-up, on frame 8 (`desk-app.ts`).
  await eventually(() => stateOf(page, 'Every drawing is cleaned up')).toBe('Does not hold');
  expect(await line(page, 'Every frame and exposure').innerText()).toContain(
    'frame 8: drawing 5 has no clean-up',
  );
  expect(await stateOf(page, 'No note is open')).toBe('Holds');
  await page.getByRole('heading', { name: /Not ready for ink and paint/ }).waitFor();

  // Its clean drawings are black line on white paper, anti-aliased.
  const rules = 'The line keeps the rules of the house';
  expect(await stateOf(page, rules)).toBe('Holds');
  await page.getByRole('button', { name: 'Add black' }).tap();
  await page.getByRole('group', { name: 'Paper' }).getByRole('button', { name: 'White' }).tap();
  await eventually(() => stateOf(page, rules)).toBe('Holds');
  await page.getByRole('group', { name: 'Anti-aliasing' }).getByRole('button', { name: 'Without' }).tap();
  await eventually(() => stateOf(page, rules)).toBe('Does not hold');
  await eventually(() => line(page, rules).innerText()).toContain('soft edge in a line');
  expect(await found(page)).toEqual([]);
  expect(await small(page)).toEqual([]);

  await page.getByRole('button', { name: 'Hand out' }).tap();
  await page.getByRole('button', { name: 'Data (JSON)' }).tap();
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Save' }).tap(),
  ]);
  const proof = JSON.parse(await readFile(await download.path(), 'utf8')) as {
    ready: boolean;
    house: { edges: string };
    levels: { drawings: { label: string; sha256: string | null }[] }[];
  };
  expect(proof.ready).toBe(false);
  expect(proof.house.edges).toBe('hard');
  const files = await kettleFiles();
  for (const { label, sha256 } of proof.levels[0]?.drawings ?? []) {
    const clean = files.get(`clean/${label.padStart(4, '0')}.png`);
    expect(sha256, label).toBe(clean ? createHash('sha256').update(clean).digest('hex') : null);
  }

  await line(page, 'Every frame and exposure')
    .getByRole('button', { name: /frame 8/ })
    .tap();
  await onPaper(page, '5');
  await page.context().close();
});
