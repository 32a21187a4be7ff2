/**
 * The checks by touch, on the sample shot of Wenna with its planted faults (`sample-shots/planted-faults.json` is the
 * outside word on what is wrong where).
 */
import type { Browser, Page } from 'playwright';
import sharp from 'sharp';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { launch, TABLETS, until } from '../support/browser.ts';
import { tap } from '../support/pointers.ts';
import { checked, openChecks, openWenna, slip, type WennaApp, wennaApp } from './checks-app.ts';
import { eventually, onPaper } from './desk-app.ts';
import { found, small } from './everyone.ts';

/** Those with a planted fault that is looked at here, and what their charts name. */
const drawings = ['1', '9', '13', '15', '19', '20', '22', '26', '28'];

let browser: Browser;
let app: WennaApp;
let page: Page;
beforeAll(async () => {
  [browser, app] = await Promise.all([launch(), wennaApp(drawings)]);
  // One page for all: measuring is what takes the time.
  page = await openWenna(browser, app);
  await openChecks(page);
  await checked(page);
}, 600_000);
afterAll(async () => {
  await browser.close();
  await app.close();
});

const press = (name: string): Promise<void> => page.getByRole('button', { name, exact: true }).tap();
const saved = (): Promise<void> =>
  until(page, () => document.querySelector('.saved-sign')?.textContent === 'saved', undefined);

const isIn = (box: { x: number; y: number; width: number; height: number }, x: number, y: number): boolean =>
  x >= box.x && x < box.x + box.width && y >= box.y && y < box.y + box.height;

/** Pixels of the stage that look so, and their middle in shares of it. */
async function pixels(
  isSo: (r: number, g: number, b: number) => boolean,
): Promise<{ count: number; x: number; y: number }> {
  const box = await page.locator('.stage').boundingBox();
  if (!box) throw new Error('There is no stage.');
  // The legend lies over the stage and shows every step itself.
  const legend = await page
    .locator('.checks-legend')
    .boundingBox({ timeout: 200 })
    .catch(() => null);
  const png = await page.screenshot({ clip: box, scale: 'css' });
  const { data, info } = await sharp(png).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  let [count, x, y] = [0, 0, 0];
  for (let at = 0; at < data.length; at += 3) {
    if (!isSo(data[at] ?? 0, data[at + 1] ?? 0, data[at + 2] ?? 0)) continue;
    const [left, top] = [(at / 3) % info.width, Math.floor(at / 3 / info.width)];
    if (legend && isIn(legend, box.x + left, box.y + top)) continue;
    count++;
    x += left;
    y += top;
  }
  return { count, x: x / count / info.width, y: y / count / info.height };
}
/** The ring round the finding in hand, in the look's accent. */
const ring = () => pixels((r, g, b) => r > 140 && g < 80 && b < 50);
/** The darker half of the heat's violet. */
const darkHeat = () => pixels((r, g, b) => r < 130 && g < 120 && b - r > 45);
const tint = () => pixels((r, _g, b) => r < 200 && b - r > 30 && b > 190);

test('a desk that nobody touches draws nothing once the shot is checked', async () => {
  const drawn = () =>
    page.evaluate(async () => {
      const ask = globalThis.requestAnimationFrame;
      let asked = 0;
      globalThis.requestAnimationFrame = (callback) => {
        asked++;
        return ask(callback);
      };
      await new Promise((resolve) => setTimeout(resolve, 3000));
      globalThis.requestAnimationFrame = ask;
      return asked;
    });
  await eventually(drawn).toBe(0);
});

test('a finding leads to its drawing and place, and becomes a note that says where', async () => {
  await slip(page, 'leaks', '13').locator('.finding-face').tap();
  await onPaper(page, '13');
  // The paper moves until the place is in the middle.
  await eventually(async () => {
    const { count, x, y } = await ring();
    return count > 50 && Math.abs(x - 0.5) < 0.05 && Math.abs(y - 0.5) < 0.05;
  }).toBe(true);
  await press('Pin as a note');
  await eventually(() => slip(page, 'leaks', '13').count()).toBe(0);
  await saved();
  await page.getByRole('button', { name: 'Notes beside the paper' }).tap();
  // The planted gap is 6 px wide.
  await eventually(() => page.locator('.slip-text').allInnerTexts()).toEqual([
    expect.stringContaining('Opens 6 px'),
  ]);
  await page.getByRole('button', { name: 'Checks beside the paper' }).tap();
});

test('a finding dismissed with a reason stays so after a reload, and can be brought back', async () => {
  await slip(page, 'weight', '26').locator('.finding-face').tap();
  await onPaper(page, '26');
  await press('Dismiss');
  await press('Meant so');
  await eventually(() => slip(page, 'weight', '26').count()).toBe(0);
  await saved();
  await page.reload();
  await onPaper(page, '26');
  await checked(page);
  await eventually(() => slip(page, 'spacing', '19').count()).toBe(1);
  expect(await slip(page, 'weight', '26').count()).toBe(0);
  await press('Noted and dismissed (2)');
  await eventually(() => slip(page, 'weight', '26').innerText()).toContain('Meant so');
  await slip(page, 'weight', '26').locator('.finding-face').tap();
  await press('Bring back');
  await eventually(() => slip(page, 'weight', '26').innerText()).not.toContain('Meant so');
  // Dismissed again, undone at once.
  await press('Dismiss');
  await page.getByLabel('Another reason').fill('The ferry hides it');
  await press('Dismiss for this');
  await eventually(() =>
    slip(page, 'weight', '26')
      .innerText()
      .catch(() => ''),
  ).toContain('The ferry hides it');
  await page.keyboard.press('Control+z');
  await eventually(() => slip(page, 'weight', '26').innerText()).not.toContain('The ferry hides it');
});

test('heat over the line is dark where the line is too heavy, and pale on a key', async () => {
  await page.keyboard.press('w');
  await press('Weight');
  // 26 is inked 30 % too heavy.
  await eventually(async () => (await darkHeat()).count > 400).toBe(true);
  expect(await page.locator('.heat-rule').textContent()).toContain('px');
  const tooHeavy = (await darkHeat()).count;
  await page.keyboard.press('Home');
  await onPaper(page, '1');
  // A share, as the paper is as large as the screen lets it be.
  await eventually(async () => (await darkHeat()).count < tooHeavy / 20).toBe(true);
  await press('None');
  await eventually(() => page.locator('.checks-legend').count()).toBe(0);
});

test('curves run in the rows of the sheet; a tap leads to the drawing', async () => {
  await press('Curves by the sheet');
  const strip = page.locator('.curve[data-curve=weight] svg');
  const [onSheet, onStrip] = [page.locator('.sheet-run .here'), strip.locator('.here')];
  await onStrip.waitFor();
  const [a, b] = await Promise.all([onSheet.boundingBox(), onStrip.boundingBox()]);
  expect(b?.y).toBeCloseTo(a?.y ?? 0, 0);
  expect(b?.height).toBeCloseTo(a?.height ?? 0, 0);
  // Frame 13 is drawing 13's only one (`shot.json`); rows are as high as the one that is marked.
  const box = await strip.boundingBox();
  if (!a || !box) throw new Error('no strip');
  await tap(page, { x: box.x + box.width / 2, y: a.y + 12.5 * a.height });
  await onPaper(page, '13');
  expect(await strip.getAttribute('aria-label')).toContain('26');
  await press('Curves by the sheet');
  await strip.waitFor({ state: 'detached' });
});

test('the paint test says through which gap the paint runs, and with a smaller gap that it does not know', async () => {
  await slip(page, 'leaks', '13').locator('.finding-face').tap();
  await eventually(async () => (await ring()).count > 50).toBe(true);
  await press('Paint test');
  const box = await page.locator('.stage').boundingBox();
  if (!box) throw new Error('There is no stage.');
  // Just below the gap, within the cuff: it lies in the middle of the stage, at 1.6 px a px.
  const [x, y] = [box.x + box.width / 2 + 8, box.y + box.height / 2 + 19];
  const says = page.locator('.checks-strip [role=status]');
  await eventually(async () => {
    // On a busy machine a tap can come out as a press, which shows the other layer: then it is tapped again.
    if ((await says.innerText()).startsWith('Tap a region')) await page.touchscreen.tap(x, y);
    return says.innerText();
  }).toContain('a gap of 6 px');
  await eventually(async () => (await tint()).count > 100).toBe(true);
  await page.getByRole('slider', { name: 'Gaps up to' }).fill('3');
  await eventually(() => says.innerText()).not.toContain('gap of 6 px');
});

test('for everyone: nothing too small, nothing cut off, axe finds nothing; both hands, day and dark', async () => {
  await press('Openings');
  await page.locator('.checks-legend').waitFor();
  await slip(page, 'spacing', '19').locator('.finding-face').tap();
  await onPaper(page, '19');
  await press('Dismiss');
  await press('What counts as a fault');
  for (const [kind, hand, light] of [
    ['landscape', 'right', 'light'],
    ['portrait', 'left', 'dark'],
    ['large', 'left', 'light'],
  ] as const) {
    await page.setViewportSize(TABLETS[kind].viewport);
    await page.keyboard.press('?');
    await page.getByRole('button', { name: `the ${hand} hand` }).tap();
    await page.keyboard.press('Escape');
    await page.emulateMedia({ colorScheme: light });
    await eventually(() => page.evaluate(() => document.documentElement.dataset['light'])).toBe(
      light === 'dark' ? 'dark' : 'day',
    );
    expect(await found(page), kind).toEqual([]);
    expect(await small(page), kind).toEqual([]);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(wide, kind).toBeLessThanOrEqual(0);
  }
});
