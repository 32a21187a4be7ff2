/**
 * The main job for those who see, hear or move otherwise: by keys alone, by single taps alone (no drag, no press, no two
 * fingers), and what a screen reader is told.
 */
import type { Page } from 'playwright';
import { expect, test } from 'vitest';
import { until } from '../support/browser.ts';
import { eventually, onPaper, openDesk, openShelf, title } from './desk-app.ts';
import { app, browser, startKettle } from './kettle-browser.ts';

startKettle();

const saved = (page: Page): Promise<void> =>
  until(page, () => document.querySelector('.saved-sign')?.textContent === 'saved', undefined);
const button = (page: Page, name: string | RegExp) =>
  page.getByRole('button', { name, exact: typeof name === 'string' });

/** Goes on with Tab, as one who cannot point does, until what has the focus says so. */
async function tabTo(page: Page, name: RegExp): Promise<void> {
  const says = () =>
    page.evaluate(() => {
      const at = document.activeElement;
      return at instanceof HTMLElement ? (at.getAttribute('aria-label') ?? at.innerText) : '';
    });
  for (let presses = 0; presses < 150; presses++) {
    if (name.test(await says())) return;
    await page.keyboard.press('Tab');
  }
  throw new Error(`Tab does not come to ${String(name)}.`);
}

async function writesAList(page: Page, go: (name: RegExp) => Promise<void>): Promise<void> {
  await go(/^Hand out$/);
  await go(/CSV/);
  const [download] = await Promise.all([page.waitForEvent('download'), go(/^Save$/)]);
  expect(download.suggestedFilename()).toMatch(/\.csv$/);
}

test('by keys alone: opened, flipped, compared, played, noted, listed and handed out', async () => {
  const page = await openShelf(browser, app);
  await tabTo(page, new RegExp(`^${title}`));
  await page.keyboard.press('Enter');
  await onPaper(page, '1');
  await page.keyboard.press('ArrowRight');
  await onPaper(page, '2');
  await page.keyboard.press('End');
  await onPaper(page, '7');
  await page.keyboard.press('Home');
  await onPaper(page, '1');
  await page.keyboard.press('Digit2');
  await eventually(() => button(page, 'Rough').getAttribute('aria-pressed')).toBe('true');
  await page.keyboard.press('Digit1');
  await page.keyboard.press('Space');
  await eventually(() => page.locator('.desk').getAttribute('data-motion')).toBe('play');
  await page.keyboard.press('Space');
  await eventually(() => page.locator('.desk').getAttribute('data-motion')).toBe('still');
  await page.keyboard.press('Home');
  await onPaper(page, '1');
  await page.keyboard.press('d');
  await page.getByLabel('What is to be done').waitFor();
  await until(page, () => document.activeElement?.tagName === 'TEXTAREA', undefined);
  await page.keyboard.type('The lid lifts a drawing too early');
  await page.keyboard.press('Control+Enter');
  await page.locator('.slip-text').getByText('The lid lifts a drawing too early').waitFor();
  await saved(page);
  await page.keyboard.press('Escape');
  await page.keyboard.press('Shift+F');
  await page.getByRole('list', { name: 'In working order' }).waitFor();
  await writesAList(page, async (name) => {
    await tabTo(page, name);
    await page.keyboard.press('Enter');
  });
  await tabTo(page, /The lid lifts/);
  await page.keyboard.press('Enter');
  await onPaper(page, '1');
  await page.context().close();
});

test('by single taps alone', async () => {
  const page = await openDesk(browser, app);
  await button(page, 'Drawing after').tap();
  await onPaper(page, '2');
  await button(page, 'Rough').tap();
  await eventually(() => button(page, 'Rough').getAttribute('aria-pressed')).toBe('true');
  await button(page, 'Clean').tap();
  await button(page, 'Play the exposures').tap();
  await eventually(() => page.locator('.desk').getAttribute('data-motion')).toBe('play');
  await button(page, /^Stop/).tap();
  await eventually(() => page.locator('.desk').getAttribute('data-motion')).toBe('still');
  await button(page, 'Notes beside the paper').tap();
  await button(page, 'Write one here').tap();
  await page.getByLabel('What is to be done').fill('The handle wanders');
  await button(page, 'Pin it').tap();
  await page.locator('.slip-text').getByText('The handle wanders').waitFor();
  await saved(page);
  await button(page, 'Fix list: what is to be mended, in working order').tap();
  await page.getByRole('list', { name: 'In working order' }).waitFor();
  await writesAList(page, (name) => button(page, name).tap());
  await button(page, 'To the desk').tap();
  await page.context().close();
});

test('a screen reader is told drawing, role, frame, state and what waits, once the hand rests', async () => {
  const page = await openDesk(browser, app);
  const told = () => page.locator('.number').ariaSnapshot();
  // Role and frames as the shot has them (`desk-app.ts`): drawing 6 is a key, on frames 9 to 11; 5 has no clean-up.
  await eventually(told).toContain('Drawing 1, key, frame 1, held 2, clean');
  for (const label of ['2', '3', '4', '5']) {
    await page.keyboard.press('ArrowRight');
    await onPaper(page, label);
  }
  await eventually(told).toMatch(/Drawing 5, in-between, frame 8, on one, rough/);
  await page.keyboard.press('ArrowRight');
  await onPaper(page, '6');
  await page.keyboard.press('d');
  await page.getByLabel('What is to be done').fill('Steam, not smoke');
  await page.keyboard.press('Control+Enter');
  await eventually(told).toMatch(/Drawing 6, key, frame 9, held 3, clean, 1 note/);
  const sheet = page.getByRole('slider', { name: /sheet/i });
  expect(await sheet.getAttribute('aria-valuetext')).toMatch(/^frame 9, drawing 6, key; 1 note/);
  // What is pressed, of what group, and where one is, by the tree that a reader walks.
  const tree = await page.locator('.desk').ariaSnapshot();
  expect(tree).toContain('button "Clean" [pressed]');
  expect(tree).toMatch(/group "Flip set"/);
  expect(tree).toMatch(/complementary "Notes"/);
  await page.context().close();
});
