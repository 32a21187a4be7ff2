/** Edits, undo, and what a reload brings back; both hands, both ways up. */
import type { Page } from 'playwright';
import { describe, expect, test } from 'vitest';
import { until } from '../support/browser.ts';
import { drag, line, stroke } from '../support/pointers.ts';
import { editSecond, eventually, numberOf, onPaper, openDesk, pictured } from './desk-app.ts';
import { app, browser, startKettle } from './kettle-browser.ts';

startKettle();

const words = (page: Page): Promise<string> => page.locator('.number-words').innerText();
const saved = (page: Page): Promise<void> =>
  until(page, () => document.querySelector('.saved-sign')?.textContent === 'saved', undefined);

const placeKept = (page: Page): Promise<void> =>
  until(page, () => document.querySelector<HTMLElement>('.desk')?.dataset['place'] === 'kept', undefined);

describe('edits', () => {
  test('role, hold, chart and title, each undone by one press, and all of it kept', async () => {
    const page = await openDesk(browser, app);
    const panel = await editSecond(page);
    await panel.getByRole('button', { name: 'breakdown' }).tap();
    await eventually(() => words(page)).toContain('breakdown');
    await page.keyboard.press('Control+z');
    await eventually(() => words(page)).toContain('in-between, nearer to 1');

    // Two frames become three; drawing 3 moves from frame 5 to 6.
    await panel.getByRole('button', { name: 'Hold one frame longer' }).tap();
    await eventually(() => words(page)).toContain('held 3');
    await page.keyboard.press('ArrowRight');
    await eventually(() => words(page)).toContain('frame 6');
    await page.keyboard.press('ArrowLeft');

    await panel.getByRole('button', { name: '⅔' }).tap();
    await eventually(() => words(page)).toContain('nearer to 4');
    await panel.getByLabel('Title').fill('The kettle sings');
    await panel.getByLabel('Title').press('Enter');
    await eventually(() => page.locator('.shot-title').textContent()).toBe('The kettle sings');
    await saved(page);
    await placeKept(page);
    await page.reload();
    await onPaper(page, '2');
    expect(await words(page)).toContain('nearer to 4');
    expect(await words(page)).toContain('held 3');
    // Undo reaches behind the reload.
    for (let n = 0; n < 3; n++) await page.getByRole('button', { name: 'Undo', exact: true }).first().tap();
    await eventually(() => words(page)).toContain('held 2');
    await eventually(() => page.locator('.shot-title').textContent()).toBe('The kettle boils over');
    expect(await words(page)).toContain('nearer to 1');
    await page.context().close();
  });

  test('a part is drawn round by pen or finger, named and set on its third; each undone by one press', async () => {
    const page = await openDesk(browser, app);
    const panel = await editSecond(page);
    const stage = await page.locator('.stage').boundingBox();
    if (!stage) throw new Error('There is no stage.');
    const at = (x: number, y: number) => ({ x: stage.x + stage.width * x, y: stage.y + stage.height * y });
    await panel.getByRole('button', { name: 'Draw round a part' }).tap();
    // One finger draws while a place is asked for: across it, from corner to corner.
    await drag(page, [line(at(0.4, 0.4), at(0.6, 0.5), 8)]);
    const words = panel.getByRole('textbox', { name: 'What the part is' });
    await eventually(() => words.inputValue()).toBe('part 1');
    expect(await numberOf(page)).toBe('2');
    await words.fill('lid');
    await words.press('Enter');
    await panel.getByRole('button', { name: 'lid at two thirds' }).tap();
    await eventually(() => page.locator('.number-words').innerText()).toContain('lid at two thirds');
    await eventually(() => page.locator('.column .part').allTextContents()).toEqual(['⅔ lid']);

    await panel.getByRole('button', { name: 'Draw round a part' }).tap();
    const ring = Array.from({ length: 25 }, (_, n) =>
      at(0.5 + 0.1 * Math.cos(n / 4), 0.6 + 0.1 * Math.sin(n / 4)),
    );
    await stroke(page, ring);
    await eventually(() => words.count()).toBe(2);
    await page.keyboard.press('Control+z');
    await eventually(() => words.count()).toBe(1);
    await panel.getByRole('button', { name: 'Take lid off the chart' }).tap();
    await eventually(() => words.count()).toBe(0);
    await page.keyboard.press('Control+z');
    await eventually(() => words.inputValue()).toBe('lid');

    await panel.getByRole('button', { name: 'runs on after the pose' }).tap();
    await eventually(() => page.locator('.number-words').innerText()).toContain('runs on after the pose');
    await page.keyboard.press('Control+z');
    await eventually(() => page.locator('.number-words').innerText()).toContain('lid at two thirds');
    await page.context().close();
  });

  test('a chart that cannot be is refused with its reason', async () => {
    const page = await openDesk(browser, app);
    for (let n = 0; n < 3; n++) await page.keyboard.press('ArrowRight');
    await onPaper(page, '4');
    await page.keyboard.press('e');
    await page.getByRole('combobox', { name: 'from' }).selectOption('2');
    await page.getByText('2 already hangs on 4').waitFor();
    await page.context().close();
  });

  test('a drawing taken off the sheet is still reached', async () => {
    const page = await openDesk(browser, app);
    await page.keyboard.press('End');
    await onPaper(page, '7');
    await page.keyboard.press('e');
    await page.getByRole('button', { name: 'Take off' }).tap();
    const off = page.getByRole('button', { name: '1 not on the sheet' });
    await off.tap();
    await page.getByRole('button', { name: 'Drawing 7' }).tap();
    await onPaper(page, '7');
    await eventually(() => words(page)).toContain('not on the sheet');
    expect(await pictured(page, 'clean')).toBe(7);
    await page.context().close();
  });
});

test('a reload comes back to place, way, set, hand and camera', async () => {
  const page = await openDesk(browser, app);
  await page.getByRole('button', { name: 'Keys', exact: true }).tap();
  await page.keyboard.press('ArrowRight');
  await onPaper(page, '6');
  await page.keyboard.press('h');
  await page.keyboard.press('Digit3');
  await page.getByRole('slider', { name: 'Rough beneath, at' }).fill('40');
  for (const key of ['+', '+', 'm']) await page.keyboard.press(key);
  await placeKept(page);
  await page.reload();
  await onPaper(page, '6');
  expect(await page.locator('.way-words').textContent()).toContain('40 %');
  const pressed = await page
    .locator('[aria-pressed=true]')
    .evaluateAll((all) => all.map((e) => e.getAttribute('aria-label')));
  expect(pressed).toEqual(
    expect.arrayContaining(['Keys', 'Rough under clean', 'Take this drawing in the hand, or put it back']),
  );
  await page.getByRole('button', { name: 'Turn and zoom the paper' }).tap();
  expect(await page.getByRole('button', { name: 'Mirror the paper' }).getAttribute('aria-pressed')).toBe(
    'true',
  );
  await page.context().close();
});

test.each(['landscape', 'portrait', 'large'] as const)(
  'on a %s tablet, both hands: sheet away from the hand, nothing cut off',
  async (kind) => {
    const page = await openDesk(browser, app, kind);
    const width = page.viewportSize()?.width ?? 0;
    const boxes = async () => {
      const [sheet, tools] = await Promise.all([
        page.locator('.sheet').boundingBox(),
        page.locator('.foot').boundingBox(),
      ]);
      if (!sheet || !tools) throw new Error('sheet or tools are not there');
      return { sheet, tools };
    };
    const right = await boxes();
    expect(right.sheet.x).toBe(0);
    expect(right.tools.x + right.tools.width).toBe(width);
    await page.keyboard.press('?');
    await page.getByRole('button', { name: 'the left hand' }).tap();
    await page.keyboard.press('Escape');
    const left = await boxes();
    expect(left.tools.x).toBe(0);
    expect(left.sheet.x + left.sheet.width).toBe(width);
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(overflow).toBeLessThanOrEqual(0);
    await eventually(() => pictured(page, 'clean')).toBe(1);
    await page.context().close();
  },
);
