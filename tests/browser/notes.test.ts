/** Notes by pen, finger and keys on the desk; what a reload and a crash leave; whom they are shown to and where. */
import type { Page } from 'playwright';
import { beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { TABLETS, until } from '../support/browser.ts';
import { drag, line, nextFrame, pen } from '../support/pointers.ts';
import { eventually, onPaper, openDesk } from './desk-app.ts';
import { found, small } from './everyone.ts';
import { app, browser, startKettle } from './kettle-browser.ts';
import {
  cleared,
  draw,
  kept,
  keptStrokes,
  onStage,
  openNotes,
  pinIt,
  redInk,
  slant,
  slips,
} from './notes-hand.ts';

startKettle();

/** One tablet with the shot on its shelf; each test starts without notes, on the first drawing. */
let page: Page;
let address: string;
beforeAll(async () => {
  page = await openDesk(browser, app);
  address = page.url();
}, 300_000);
beforeEach(async () => {
  await cleared(page, app.server.url);
  await page.goto(address);
  await onPaper(page, '1');
});
const saved = (page: Page): Promise<void> =>
  until(page, () => document.querySelector('.saved-sign')?.textContent === 'saved', undefined);
const inked = (page: Page): ReturnType<typeof eventually<Promise<boolean>>> =>
  eventually(async () => (await redInk(page)).count > 20);

describe('the pencil', () => {
  test('a stroke starts a note; a reload finds it; pinned, it lies on its drawing alone', async () => {
    expect((await redInk(page)).count).toBe(0);
    await draw(page, slant(0.2, 0.7));
    await inked(page).toBe(true);
    await eventually(() => keptStrokes(page)).toBe(1);
    await page.reload();
    await onPaper(page, '1');
    await inked(page).toBe(true);
    await pinIt(page);
    await saved(page);
    await page.reload();
    await onPaper(page, '1');
    await inked(page).toBe(true);
    await page.keyboard.press('ArrowRight');
    await onPaper(page, '2');
    await eventually(async () => (await redInk(page)).count).toBe(0);
    // A neighbour's note shows through when asked for.
    await page.keyboard.press('s');
    await eventually(async () => (await redInk(page, true)).count > 20).toBe(true);
    await page.keyboard.press('s');
    await eventually(async () => (await redInk(page, true)).count).toBe(0);
    await page.keyboard.press('ArrowLeft');
    await inked(page).toBe(true);
  });

  test('the first note of someone without a name is pinned by the first tap after typing it', async () => {
    await openNotes(page);
    await page.getByRole('button', { name: 'Write one here' }).tap();
    await page.getByLabel('What is to be done').fill('The spout is too thick');
    const name = page.getByLabel('Your name, for the record of edits');
    await name.tap();
    await page.keyboard.type('Ansa');
    const button = await page.getByRole('button', { name: 'Pin it' }).boundingBox();
    if (!button) throw new Error('There is no button to pin with.');
    // Down and up at one place, with time between them, as a finger has it.
    await page.mouse.move(button.x + button.width / 2, button.y + button.height / 2);
    await page.mouse.down();
    await page.waitForTimeout(120);
    await page.mouse.up();
    await eventually(() => slips(page)).toEqual(['The spout is too thick']);
    await eventually(() => name.count()).toBe(0);
  });

  test('the page is killed with a stroke under the pen: every stroke before it is there', async () => {
    await draw(page, slant(0.2, 0.7));
    await draw(page, slant(0.3, 0.7));
    await eventually(() => keptStrokes(page)).toBe(2);
    const [first, ...rest] = await onStage(page, slant(0.5, 0.6));
    if (!first) throw new Error('no points');
    await pen(page, 'down', first);
    for (const at of rest) await pen(page, 'move', at);
    const cdp = await page.context().newCDPSession(page);
    const crashed = page.waitForEvent('crash');
    void cdp.send('Page.crash').catch(() => undefined);
    await crashed;
    page = await page.context().newPage();
    await page.goto(address);
    await onPaper(page, '1');
    await openNotes(page);
    await eventually(() => page.locator('.composer .scrawl path').count()).toBe(2);
  });

  test('undo and redo go stroke by stroke, then note by note; the rubber and the colours work', async () => {
    await draw(page, slant(0.2, 0.7));
    await page.getByRole('button', { name: 'Blue pencil' }).tap();
    await draw(page, slant(0.2, 0.6));
    await openNotes(page);
    const strokes = page.locator('.composer .scrawl path');
    await eventually(() => strokes.count()).toBe(2);
    await page.keyboard.press('Control+z');
    await eventually(() => strokes.count()).toBe(1);
    await page.keyboard.press('Control+Shift+z');
    await eventually(() => strokes.count()).toBe(2);
    await pinIt(page);
    await eventually(() => page.locator('.slip').count()).toBe(1);
    await page.keyboard.press('Control+z');
    await eventually(() => page.locator('.slip').count()).toBe(0);
    await page.keyboard.press('Control+Shift+z');
    await eventually(() => page.locator('.slip').count()).toBe(1);
    // Changed with the rubber: one long wipe over everything.
    await page.locator('.slip-face').tap();
    await page.getByRole('button', { name: 'Change', exact: true }).tap();
    await page.getByRole('button', { name: 'Rubber' }).tap();
    const wipe = Array.from({ length: 30 }, (_, n): [number, number][] => [
      [0.15, 0.5 + n * 0.01],
      [0.4, 0.505 + n * 0.01],
    ]).flat();
    await draw(page, wipe);
    await eventually(() => strokes.count()).toBe(0);
  });

  test('mirrored and moved paper takes its ink along', async () => {
    await draw(page, slant(0.3, 0.7));
    await inked(page).toBe(true);
    const before = await redInk(page);
    // Straight after a stroke a letter would be a word of the note.
    await page.keyboard.press('Escape');
    await page.keyboard.press('m');
    // Mirrored about the middle of the stage, where the middle of the fitted paper lies.
    await eventually(async () => Math.abs((await redInk(page)).x - (1 - before.x)) < 0.01).toBe(true);
    await page.keyboard.press('m');
    await page.keyboard.press('+');
    // Nearer by 1.25 about the middle (`zoomBy` of the desk's commands).
    await eventually(async () => {
      const now = await redInk(page);
      return (
        Math.abs(now.x - 0.5 - 1.25 * (before.x - 0.5)) < 0.01 &&
        Math.abs(now.y - 0.5 - 1.25 * (before.y - 0.5)) < 0.01
      );
    }).toBe(true);
  });

  test('a finger flips, until it is switched to draw', async () => {
    await openNotes(page);
    const across = async (): Promise<void> => {
      const [from, to] = await onStage(page, [
        [0.3, 0.8],
        [0.5, 0.8],
      ]);
      if (from && to) await drag(page, [line(from, to, 12)]);
      await nextFrame(page);
    };
    await page.getByRole('button', { name: 'Finger draws' }).tap();
    await across();
    await eventually(() => page.locator('.composer .scrawl path').count()).toBe(1);
    await onPaper(page, '1');
  });
});

describe('the strip beside the paper', () => {
  test('keys alone: pinned in the middle, answered, fixed, approved, reopened, filtered, withdrawn', async () => {
    await page.keyboard.press('ArrowRight');
    await onPaper(page, '2');
    await page.keyboard.press('d');
    await until(page, () => document.activeElement?.tagName === 'TEXTAREA', undefined);
    await eventually(async () => JSON.stringify(await kept(page, '["desk"'))).toContain('"notes"');
    // Every letter is there after a reload, also of one that comes at once.
    await page.keyboard.type('The spout is too thick');
    await page.reload();
    await onPaper(page, '2');
    await page.getByLabel('What is to be done').focus();
    expect(await page.getByLabel('What is to be done').inputValue()).toBe('The spout is too thick');
    await page.keyboard.press('Control+Enter');
    await eventually(() => slips(page)).toEqual(['The spout is too thick']);
    await inked(page).toBe(true);

    await page.keyboard.press('Home');
    await onPaper(page, '1');
    await page.keyboard.press('g');
    await onPaper(page, '2');
    expect(await page.locator('.said-by').innerText()).toContain('made on take 1');
    await page.getByLabel('Answer the note on 2').focus();
    await page.keyboard.type('Thinned in take 2');
    await page.keyboard.press('Control+Enter');
    await page.getByText('1 answer').waitFor();
    for (const [press, state] of [
      ['Fixed', 'fixed'],
      ['Reopen', 'reopened'],
      ['Approve', 'approved'],
    ] as const) {
      // An approved note leaves the list of what is not approved.
      if (state === 'approved') await page.getByLabel('State', { exact: true }).selectOption('all');
      await page.getByRole('button', { name: press, exact: true }).focus();
      await page.keyboard.press('Enter');
      await page.locator(`.note-state[data-state=${state}]`).waitFor();
    }
    await eventually(async () => (await redInk(page)).count > 20).toBe(true);
    await page.locator('.slip-face').press('Enter');
    await page.getByLabel('State', { exact: true }).selectOption('live');
    await eventually(() => page.locator('.slip').count()).toBe(0);
    await page.getByLabel('State', { exact: true }).selectOption('approved');
    await eventually(() => page.locator('.slip').count()).toBe(1);
    await page.getByLabel('Role of the drawing').selectOption('key');
    await eventually(() => page.locator('.slip').count()).toBe(0);
    await page.getByLabel('Role of the drawing').selectOption('inbetween');
    await page.locator('.slip-face').press('Enter');
    await page.getByRole('button', { name: 'Withdraw', exact: true }).last().press('Enter');
    await eventually(() => page.locator('.slip').count()).toBe(0);
    await page.getByLabel('State', { exact: true }).selectOption('withdrawn');
    await eventually(() => slips(page)).toEqual(['The spout is too thick']);
  });

  test('a run: it lies on each of its drawings and on no other', async () => {
    await page.keyboard.press('ArrowRight');
    await onPaper(page, '2');
    await draw(page, slant(0.2, 0.7));
    await openNotes(page);
    await page.getByRole('button', { name: 'a run' }).tap();
    await page.getByLabel('last of the run').selectOption('4');
    await pinIt(page);
    for (const [label, on] of [
      ['1', false],
      ['2', true],
      ['3', true],
      ['4', true],
      ['5', false],
    ] as const) {
      await page.getByRole('complementary', { name: 'Notes' }).waitFor();
      await page.keyboard.press(label === '1' ? 'Home' : 'ArrowRight');
      await onPaper(page, label);
      await eventually(async () => (await redInk(page)).count > 20).toBe(on);
    }
    expect(await page.locator('.slip-facts').innerText()).toContain('2 to 4');
  });

  test('for everyone, on every tablet: nothing too small or cut off, axe finds nothing; both hands, day and dark', async () => {
    await draw(page, slant(0.2, 0.7));
    await openNotes(page);
    await page.getByLabel('What is to be done').fill('The lid sits a little too high');
    await pinIt(page);
    await page.locator('.slip-face').tap();
    await draw(page, slant(0.4, 0.7));
    // Straight after a stroke a sign would be a word of the note.
    await page.keyboard.press('ArrowUp');
    for (const [kind, hand, light] of [
      ['landscape', 'right', 'light'],
      ['portrait', 'left', 'dark'],
      ['large', 'right', 'dark'],
    ] as const) {
      await page.setViewportSize(TABLETS[kind].viewport);
      await page.emulateMedia({ colorScheme: light });
      await page.keyboard.press('?');
      await page.getByRole('button', { name: `the ${hand} hand` }).tap();
      await page.keyboard.press('Escape');
      const seen = { light: light === 'dark' ? 'dark' : 'day', hand };
      await eventually(() =>
        page.evaluate(() => {
          const { light, hand } = document.documentElement.dataset;
          return { light, hand };
        }),
      ).toEqual(seen);
      expect(await found(page), kind).toEqual([]);
      expect(await small(page), kind).toEqual([]);
      expect(
        await page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
      ).toBeLessThanOrEqual(0);
    }
  });
});
