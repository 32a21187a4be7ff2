/** Both screens for everyone: axe-core finds nothing, the keyboard alone suffices, targets are 44 px. */
import type { Page } from 'playwright';
import { describe, expect, test } from 'vitest';
import { eventually, onPaper, openDesk, openShelf, title } from './desk-app.ts';
import { found, small } from './everyone.ts';
import { app, browser, startKettle } from './kettle-browser.ts';

startKettle();

const darken = async (page: Page): Promise<void> => {
  await page.emulateMedia({ colorScheme: 'dark' });
  await eventually(() => page.evaluate(() => document.documentElement.dataset['light'])).toBe('dark');
};

describe('the shelf', () => {
  test('full, with questions open, day and dark', async () => {
    const page = await openShelf(browser, app);
    await page.getByRole('button', { name: `Take off the shelf: ${title}` }).tap();
    await page.getByRole('button', { name: 'Table: who I am, hand, light and keys' }).tap();
    expect(await found(page)).toEqual([]);
    expect(await small(page)).toEqual([]);
    await darken(page);
    expect(await found(page)).toEqual([]);
    await page.getByRole('button', { name: 'Take it off' }).tap();
    await page.getByRole('heading', { name: 'The shelf is empty' }).waitFor();
    expect(await found(page)).toEqual([]);
    await page.context().close();
  });
  test('the intake: a file that is none', async () => {
    const page = await openShelf(browser, app);
    await page
      .locator('[data-pick=files]')
      .setInputFiles({ name: 'lamp.png', mimeType: 'image/png', buffer: Buffer.from('') });
    await page.getByRole('button', { name: 'To the shelf' }).waitFor();
    expect(await found(page)).toEqual([]);
    expect(await small(page)).toEqual([]);
    await page.context().close();
  });
});

describe('the desk', () => {
  test('as it opens, with each strip, the panel and the help, day and dark', async () => {
    const page = await openDesk(browser, app);
    for (const prepare of [
      async () => {},
      () => page.keyboard.press('Digit3'),
      () => page.keyboard.press('n'),
      () => page.keyboard.press('h'),
      () => page.getByRole('button', { name: 'Turn and zoom the paper' }).tap(),
      () => page.keyboard.press('e'),
      () => darken(page),
      () => page.keyboard.press('?'),
    ]) {
      await prepare();
      expect(await found(page)).toEqual([]);
      expect(await small(page)).toEqual([]);
    }
    await page.context().close();
  }, 240_000);

  test('the keyboard alone: from the shelf to a flipped, edited drawing and back', async () => {
    const page = await openShelf(browser, app);
    const focused = (): Promise<string> =>
      page.evaluate(() => {
        const active = document.activeElement;
        return active?.getAttribute('aria-label') ?? active?.textContent ?? '';
      });
    const tabTo = async (name: RegExp): Promise<void> => {
      for (let n = 0; n < 60; n++) {
        await page.keyboard.press('Tab');
        if (name.test(await focused())) return;
      }
      throw new Error(`No Tab leads to ${String(name)}.`);
    };
    await tabTo(new RegExp(title));
    await page.keyboard.press('Enter');
    await onPaper(page, '1');
    await tabTo(/^Exposure sheet$/);
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('ArrowDown');
    await onPaper(page, '2');
    await tabTo(/^Edit/);
    await page.keyboard.press('Enter');
    await tabTo(/breakdown$/);
    await page.keyboard.press('Enter');
    await eventually(() => page.locator('.number-words').innerText()).toContain('breakdown');
    await page.keyboard.press('Escape');
    await page.keyboard.press('b');
    await page.getByRole('heading', { name: title }).waitFor();
    await page.context().close();
  });

  test('Home and End lead to the ends while a strip or the sheet has the focus', async () => {
    const page = await openDesk(browser, app);
    for (const name of ['Drawings on the pegs', 'Exposure sheet']) {
      const slider = page.getByRole('slider', { name });
      await slider.focus();
      await page.keyboard.press('End');
      await onPaper(page, '7');
      // As the pattern of a slider has it (WAI-ARIA Authoring Practices): the greatest value, and the least.
      expect(await slider.getAttribute('aria-valuenow')).toBe(await slider.getAttribute('aria-valuemax'));
      await page.keyboard.press('Home');
      await onPaper(page, '1');
      expect(await slider.getAttribute('aria-valuenow')).toBe('1');
    }
    await page.context().close();
  });

  test('the number is told politely, and letters can be switched off', async () => {
    const page = await openDesk(browser, app);
    await page.keyboard.press('ArrowRight');
    await eventually(() => page.locator('.number [role=status]').textContent()).toContain(
      'Drawing 2, in-between',
    );
    await page.keyboard.press('?');
    await page.getByRole('group', { name: 'Keys of one letter' }).getByRole('button', { name: 'off' }).tap();
    await page.keyboard.press('Escape');
    await page.keyboard.press('h');
    expect(
      await page
        .getByRole('button', { name: 'Take this drawing in the hand, or put it back' })
        .getAttribute('aria-pressed'),
    ).toBe('false');
    await page.keyboard.press('ArrowRight');
    await onPaper(page, '3');
    await page.context().close();
  });
});
