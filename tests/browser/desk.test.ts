/** The desk in a real browser: number and picture agree, whatever flips; every way of seeing; edits. */
import type { Browser, Page } from 'playwright';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { launch } from '../support/browser.ts';
import { drag, fingers, line, pen } from '../support/pointers.ts';
import {
  eventually,
  type KettleApp,
  kettleApp,
  numberOf,
  offPaper,
  onPaper,
  openDesk,
  pictured,
  sheet,
} from './desk-app.ts';

let browser: Browser;
let app: KettleApp;
let page: Page;
const problems: string[] = [];

beforeAll(async () => {
  [browser, app] = await Promise.all([launch(), kettleApp()]);
  page = await openDesk(browser, app);
}, 300_000);
afterAll(async () => {
  await browser.close();
  await app.close();
});
/** One tablet, put in order by hand before each test: the first drawing, clean, all of them, nothing held. */
beforeEach(async () => {
  problems.length = 0;
  page = await page.context().newPage();
  page.on('pageerror', (error) => problems.push(error.message));
  await page.goto(`${app.server.url}#/shot/sample-kettle`);
  await page.locator('.number[data-shown]').waitFor();
  for (const key of ['Digit1', 'Shift+Digit3', 'Shift+H', 'Home', 'u', 'w']) await page.keyboard.press(key);
  const through = button('Neighbours showing through');
  if ((await through.getAttribute('aria-pressed')) === 'true') await through.tap();
  await page.keyboard.press('Escape');
  await onPaper(page, '1');
}, 120_000);
afterEach(async () => {
  await page.close();
  expect(problems).toEqual([]);
});

const button = (name: string | RegExp) => page.getByRole('button', { name, exact: typeof name === 'string' });
const toShelfRow = async (frame: number): Promise<{ x: number; y: number }> => {
  const run = await page.locator('.sheet-run').boundingBox();
  if (!run) throw new Error('There is no sheet.');
  const rowPx = Number(await page.locator('.sheet-run').getAttribute('data-row-px'));
  return { x: run.x + 60, y: run.y + (frame - 0.5) * rowPx };
};
const stageBox = async () => {
  const box = await page.locator('.stage').boundingBox();
  if (!box) throw new Error('There is no stage.');
  return box;
};
/** Number and picture. */
const agree = async (label: string): Promise<void> => {
  await onPaper(page, label);
  expect(await pictured(page, 'clean')).toBe(Number(label));
};

describe('flipping', () => {
  test('by keys', async () => {
    await page.keyboard.press('ArrowRight');
    await agree('2');
    await page.keyboard.press('End');
    await agree('7');
    await page.keyboard.press('ArrowLeft');
    await agree('6');
    await page.keyboard.press('Home');
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('ArrowDown');
    await agree('2');
  });
  test('by buttons', async () => {
    await button('Drawing after').tap();
    await button('Drawing after').tap();
    await agree('3');
    await button('Drawing before').tap();
    await agree('2');
  });
  test('by a thumb along the sheet, each frame showing what is exposed there', async () => {
    const from = await toShelfRow(1);
    await fingers(page, 'touchStart', [from]);
    for (const frame of [4, 6, 9, 12, 5]) {
      await fingers(page, 'touchMove', [await toShelfRow(frame)]);
      await agree(sheet[frame - 1] ?? '');
    }
    await fingers(page, 'touchEnd', []);
  });
  test('by a finger across the paper, both ways', async () => {
    const box = await stageBox();
    const at = (x: number) => ({ x: box.x + x, y: box.y + box.height / 2 });
    await drag(page, [line(at(300), at(600), 20)]);
    await offPaper(page, '1');
    const there = Number(await numberOf(page));
    expect(there).toBeGreaterThan(1);
    await drag(page, [line(at(600), at(300), 20)]);
    await onPaper(page, '1');
  });
  test('by a pen that hovers over the sheet', async () => {
    await pen(page, 'hover', await toShelfRow(6));
    await agree('4');
    await pen(page, 'hover', await toShelfRow(10));
    await agree('6');
  });
  test('among keys only, and among keys and breakdowns', async () => {
    await button('Keys').tap();
    for (const label of ['6', '7']) {
      await page.keyboard.press('ArrowRight');
      await agree(label);
    }
    await button('Keys and breakdowns').tap();
    await page.keyboard.press('Home');
    await page.keyboard.press('ArrowRight');
    await agree('4');
  });
  test('a drawing without clean-up says so and lets its rough through', async () => {
    await page.keyboard.press('ArrowUp');
    await fingers(page, 'touchStart', [await toShelfRow(8)]);
    await fingers(page, 'touchEnd', []);
    await onPaper(page, '5');
    await eventually(() => page.locator('.missing').textContent()).toContain('No clean-up yet');
    expect(await pictured(page, 'clean')).toBe(0);
    expect(await pictured(page, 'rough', { dark: 225 })).toBe(5);
  });
});

describe('drawings held between the fingers', () => {
  test('are rolled by hand, from first to last and back', async () => {
    for (const label of ['7', '2', '4']) {
      await page.keyboard.press('Home');
      for (let n = 1; n < Number(label); n++) await page.keyboard.press('ArrowRight');
      await onPaper(page, label);
      await page.keyboard.press('h');
    }
    await button('In the hand').tap();
    await page.keyboard.press('Home');
    await onPaper(page, '2');
    const met: (string | undefined)[] = [];
    for (const key of ['ArrowRight', 'ArrowRight', 'ArrowLeft']) {
      met.push(await numberOf(page));
      await page.keyboard.press(key);
      await offPaper(page, met.at(-1));
    }
    expect([...met, await numberOf(page)]).toEqual(['2', '4', '7', '4']);
    await agree('4');
  });
  test('roll by themselves, to and fro, until stopped', async () => {
    await page.keyboard.press('h');
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('h');
    await page.keyboard.press('r');
    await onPaper(page, '1');
    await onPaper(page, '2');
    await onPaper(page, '1');
    await page.keyboard.press('Escape');
    await eventually(() => page.locator('.desk').getAttribute('data-motion')).toBe('still');
  });
  test('fewer than two are not rolled, and it is said why', async () => {
    await button('Roll to and fro').tap();
    await page.getByText('Take two to five drawings in the hand first').waitFor();
  });
});

describe('ways of seeing', () => {
  test('rough alone, underlay, difference', async () => {
    await button('Rough').tap();
    await eventually(() => pictured(page, 'rough', { dark: 200 })).toBe(1);
    expect(await pictured(page, 'clean')).toBe(0);
    await button('Rough under clean').tap();
    await eventually(() => pictured(page, 'clean')).toBe(1);
    // 6 % black on white is 240: there, and far from black.
    await eventually(() => pictured(page, 'rough', { dark: 248 })).toBe(1);
    expect(await pictured(page, 'rough', { dark: 200 })).toBe(0);
    await page.getByRole('slider', { name: 'Rough beneath, at' }).fill('80');
    await eventually(() => pictured(page, 'rough', { dark: 120 })).toBe(1);
    await page.keyboard.press('Digit6');
    await page.locator('.way-words', { hasText: 'only clean' }).waitFor();
  });
  test('side by side, both flipping together', async () => {
    await button('Rough beside clean').tap();
    await page.keyboard.press('ArrowRight');
    await onPaper(page, '2');
    await eventually(() => pictured(page, 'clean', { pane: 'right' })).toBe(2);
    await eventually(() => pictured(page, 'rough', { pane: 'left', dark: 200 })).toBe(2);
  });
  test('wipe, by its slider from one layer to the other', async () => {
    await button('Wipe').tap();
    const slider = page.getByRole('slider', { name: 'Rough left' });
    await slider.fill('0');
    const seen = async (): Promise<number[]> => [
      await pictured(page, 'clean'),
      await pictured(page, 'rough', { dark: 200 }),
    ];
    await eventually(seen).toContain(0);
    const [clean] = await seen();
    await slider.fill('100');
    await eventually(() => pictured(page, 'clean')).toBe(clean === 1 ? 0 : 1);
  });
  test('the other layer for as long as the finger or the key is down', async () => {
    const box = await stageBox();
    await fingers(page, 'touchStart', [{ x: box.x + box.width / 2, y: box.y + box.height / 2 }]);
    await eventually(() => pictured(page, 'rough', { dark: 200 })).toBe(1);
    await fingers(page, 'touchEnd', []);
    await eventually(() => pictured(page, 'clean')).toBe(1);
    await page.keyboard.down('o');
    await eventually(() => pictured(page, 'rough', { dark: 200 })).toBe(1);
    await page.keyboard.up('o');
    await eventually(() => pictured(page, 'clean')).toBe(1);
  });
  test('neighbours show through, tinted', async () => {
    await page.keyboard.press('ArrowRight');
    await onPaper(page, '2');
    // 1 is 0001, 2 is 0010, 3 is 0011: with both neighbours through, the lowest bit is tinted.
    await page.keyboard.press('n');
    await eventually(() => pictured(page, 'clean', { dark: 235 })).toBe(3);
    expect(await pictured(page, 'clean')).toBe(2);
  });
  test('mirror, turn, zoom, and the whole paper again', async () => {
    for (const key of ['m', 't', '+']) await page.keyboard.press(key);
    await eventually(() => button('Mirror the paper').count()).toBe(0);
    await button('Turn and zoom the paper').tap();
    expect(await button('Mirror the paper').getAttribute('aria-pressed')).toBe('true');
    await button('Mirror the paper').tap();
    await button('Upright').tap();
    await button('Whole paper, upright and not mirrored').first().tap();
    await eventually(() => pictured(page, 'clean')).toBe(1);
    // As it was left it is found again, however soon the page goes.
    await page.reload();
    await onPaper(page, '1');
    await eventually(() => pictured(page, 'clean')).toBe(1);
  });
});

describe('play', () => {
  test('runs the exposures at the shot’s rate, the right drawing at the right frame, and loops', async () => {
    // A tablet of its own: a clock held in the hand is held for all its pages.
    const held = await openDesk(browser, app);
    await held.clock.install();
    await held.reload();
    await held.clock.runFor(2000);
    await eventually(async () => {
      await held.clock.runFor(50);
      return numberOf(held);
    }).toBe('1');
    await held.clock.pauseAt(Date.now() + 60_000);
    await held.keyboard.press('Space');
    // The flash check reads from storage, which the held clock does not hold.
    await eventually(async () => {
      await held.clock.runFor(17);
      return numberOf(held);
    }).toBe('2');
    const frame = () =>
      held.evaluate(() => Number(document.querySelector<HTMLElement>('.number')?.dataset['frame']));
    for (let n = 0; n < 14; n++) {
      const at = await frame();
      const label = await numberOf(held);
      expect(label).toBe(sheet[at - 1]);
      const layer = label === '5' ? 'rough' : 'clean';
      expect(await pictured(held, layer, { dark: label === '5' ? 225 : 90 })).toBe(Number(label));
      // 12 frames a second: 83⅓ ms each.
      await held.clock.runFor(84);
    }
    await held.keyboard.press('Space');
    await eventually(() => held.locator('.desk').getAttribute('data-motion')).toBe('still');
    await held.context().close();
  }, 180_000);
  test('keeps the way of seeing, and ends at the end without loop', async () => {
    await button('Rough beside clean').tap();
    // A tap's click comes a moment after the finger has left.
    await eventually(() => button('Rough beside clean').getAttribute('aria-pressed')).toBe('true');
    await page.keyboard.press('l');
    await page.keyboard.press('Space');
    await onPaper(page, '7');
    await eventually(() => page.locator('.desk').getAttribute('data-motion')).toBe('still');
    await eventually(() => pictured(page, 'rough', { pane: 'left', dark: 200 })).toBe(7);
  });
});
