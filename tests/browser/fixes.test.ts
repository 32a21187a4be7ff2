/**
 * An assistant's whole day at the built app by touch: notes in working order, ticked, looked up on the paper,
 * handed out in every form with the host gone, and a pack merged on a second tablet.
 */
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { until } from '../support/browser.ts';
import { eventually, onPaper, openDesk, openShelf, title } from './desk-app.ts';
import { found, small } from './everyone.ts';
import { handedOut, printOf, redIn, tableOf, unpacked } from './fixes-files.ts';
import { app, browser, startKettle } from './kettle-browser.ts';
import { draw, openNotes, pinIt, redInk, slant } from './notes-hand.ts';

startKettle();

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'fairpeg-fixes-'));
});
afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

const who = '山田 Ćwik';
const texts = (page: Page): Promise<string[]> => page.locator('.fix-text').allInnerTexts();
const rowOf = (page: Page, text: string) => page.locator('.fix').filter({ hasText: text });
const openList = async (page: Page): Promise<void> => {
  await page.getByRole('button', { name: /^Fix list/ }).tap();
  await page.getByRole('dialog', { name: 'Fix list' }).waitFor();
  await page.getByLabel('Who says so').selectOption({ label: 'notes alone' });
};

/** Draws a note on the drawing on the paper and says it in words. */
async function note(page: Page, text: string): Promise<void> {
  await draw(page, slant(0.3, 0.6));
  if (!(await page.getByRole('complementary', { name: 'Notes' }).isVisible())) await openNotes(page);
  await page.getByLabel('What is to be done').fill(text);
  const name = page.locator('.composer input');
  if (await name.isVisible()) {
    await name.fill(who);
    await name.press('Tab');
  }
  await pinIt(page);
}

test('from notes on drawings to a pack on a second tablet', async () => {
  const page = await openDesk(browser, app);
  // The PDF writer is kept when the app is idle; then the host goes.
  const writerKept = () =>
    page.evaluate(async () =>
      (await (await caches.open('fairpeg-later')).keys()).some(({ url }) => url.includes('fix-pdf')),
    );
  await expect.poll(writerKept, { timeout: 120_000 }).toBe(true);
  await app.server.stop();
  await page.context().setOffline(true);

  for (const [label, text] of [
    ['2', 'The lid tilts; "straighten" it'],
    ['4', '=the handle'],
    ['6', 'The spout is too thick'],
  ] as const) {
    while ((await page.locator('.number').getAttribute('data-shown')) !== label) {
      const before = await page.locator('.number').getAttribute('data-shown');
      await page.getByRole('button', { name: 'Drawing after' }).tap();
      await until(
        page,
        (last) => document.querySelector<HTMLElement>('.number')?.dataset['shown'] !== last,
        before,
      );
    }
    await note(page, text);
  }

  // Keys before breakdowns before in-betweens (common practice, no source).
  await openList(page);
  const order = ['The spout is too thick', '=the handle', 'The lid tilts; "straighten" it'];
  await eventually(() => texts(page)).toEqual(order);
  // By the charts 4 hangs on 6, and 2 on 4. Drawing 6 stands at frame 9 of 12 a second: 0+09 at 16 frames a
  // foot, the ninth frame counted from zero is 8.
  const spout = rowOf(page, 'The spout');
  expect(await spout.locator('.fix-hanging').innerText()).toMatch(/then look again at(\s+2)+(\s+4)+/);
  expect((await spout.locator('.fix-at').innerText()).split(/\s+/)).toEqual(
    expect.arrayContaining(['9', '0+09', '00:00:00:08']),
  );
  expect(await spout.locator('.fix-who').innerText()).toContain(who);
  await eventually(() => page.locator('.fix-picture[data-painted=drawing]').count()).toBe(3);

  // Ticked, taken back, ticked; what is fixed can be listed alone.
  const box = spout.getByRole('checkbox');
  for (const [checked, state] of [
    ['true', 'fixed'],
    ['false', 'open'],
    ['true', 'fixed'],
  ]) {
    await box.tap();
    await eventually(() => box.getAttribute('aria-checked')).toBe(checked);
    expect(await spout.locator('.note-state').innerText()).toBe(state);
  }
  await page.getByLabel('State', { exact: true }).selectOption('fixed');
  await eventually(() => texts(page)).toEqual([order[0]]);
  await page.getByLabel('State', { exact: true }).selectOption('all');

  // A tap lays the drawing on the desk, its place in the middle of the paper.
  await rowOf(page, '=the handle').locator('.fix-face').tap();
  await onPaper(page, '4');
  await page.getByRole('complementary', { name: 'Notes' }).getByText('=the handle').waitFor();
  await eventually(async () => {
    const { count, x, y } = await redInk(page);
    return count > 20 && Math.abs(x - 0.5) < 0.05 && Math.abs(y - 0.5) < 0.05;
  }).toBe(true);
  await openList(page);
  await eventually(() => texts(page)).toEqual(order);

  await page.getByRole('button', { name: 'Hand out' }).tap();
  const csv = await handedOut(page, 'Table (CSV)');
  expect(csv.name).toBe(`${title} fix list.csv`);
  expect(tableOf(csv.bytes).map(({ Drawing, Text, State, Who }) => [Drawing, Text, State, Who])).toEqual([
    ['6', order[0], 'fixed', who],
    ['4', `'${order[1]}`, 'open', who],
    ['2', order[2], 'open', who],
  ]);
  await page.getByRole('dialog').getByLabel('Paper', { exact: true }).selectOption('A4');
  const pdf = await printOf((await handedOut(page, 'Print (PDF)')).bytes);
  // ISO 216: 210 × 297 mm; 72 points an inch.
  expect(pdf.size.map(Math.round)).toEqual([595, 842]);
  // Runs of different scripts come out with spaces of their own.
  for (const part of [...order, who, title, '00:00:00:08', 'Page 1 of 1'])
    expect(pdf.text.replaceAll(/\s+/g, ' ')).toContain(part);
  expect(pdf.pictures).toBeGreaterThanOrEqual(3);
  const { bytes: jsonld } = await handedOut(page, 'Annotations (JSON-LD)');
  const { items } = JSON.parse(new TextDecoder().decode(jsonld)) as {
    items: { body: { value: string }[]; target: { selector: { type: string }[] } }[];
  };
  expect(items.map(({ body }) => body[0]?.value)).toEqual(order);
  expect(items[0]?.target.selector.map(({ type }) => type)).toEqual(['SvgSelector', 'FragmentSelector']);
  const png = await handedOut(page, 'Picture (PNG)');
  expect(png.name).toBe(`${title} 6 with notes.png`);
  const picture = await redIn(png.bytes);
  expect(picture.width).toBe(960);
  expect(picture.height).toBeGreaterThan(540);
  expect(picture.red).toBeGreaterThan(200);
  const pack = await handedOut(page, 'Pack (zip)');
  // Seven roughs and six cleans; three pins and three states or withdrawals.
  const inPack = unpacked(pack.bytes);
  expect([...inPack.keys()].filter((path) => path.endsWith('.png'))).toHaveLength(13);
  const entries = inPack.get(`${title}/fairpeg/entries.json`);
  const packed = JSON.parse(new TextDecoder().decode(entries)).entries as { writer: { id: string } }[];
  // Beside them what the shot brought with it when it was taken in, said by nobody.
  expect(packed.filter(({ writer }) => writer.id !== 'origin')).toHaveLength(6);
  await page.context().close();

  // A second tablet opens the pack twice: the notes are there once.
  await app.server.start();
  const second = await openShelf(browser, app, 'portrait');
  const file = join(folder, pack.name);
  await writeFile(file, pack.bytes);
  for (const words of [
    'Of its notes and edits 6 are new',
    'Of its notes and edits 0 are new, 6 were here already',
  ]) {
    await second.locator('.shelf-head [data-pick=files]').setInputFiles(file);
    await second.locator('.taken').getByText(words).waitFor();
    if (words.includes('already')) await second.getByRole('link', { name: `Open “${title}”` }).tap();
    else await second.getByRole('button', { name: 'To the shelf' }).tap();
  }
  await onPaper(second, '1');
  await openList(second);
  await eventually(() => texts(second)).toEqual(order);
  expect(await second.getByRole('checkbox', { checked: true }).count()).toBe(1);
  expect(await found(second)).toEqual([]);
  expect(await small(second)).toEqual([]);
  const wide = await second.evaluate(() => {
    const list = document.querySelector('.whole');
    return list ? list.scrollWidth - list.clientWidth : -1;
  });
  expect(wide).toBe(0);

  // Keys alone: rows by arrows, a tick by Space, out by Enter, back to the desk by Esc.
  await second.setViewportSize({ width: 1180, height: 820 });
  await second.getByRole('checkbox').nth(1).focus();
  await second.keyboard.press('Space');
  await eventually(() => second.getByRole('checkbox', { checked: true }).count()).toBe(2);
  await second.keyboard.press('ArrowDown');
  expect(await second.evaluate(() => document.activeElement?.textContent)).toContain(order[2]);
  await second.keyboard.press('ArrowRight');
  await second.keyboard.press('Control+z');
  await eventually(() => second.getByRole('checkbox', { checked: true }).count()).toBe(1);
  expect(await found(second)).toEqual([]);
  await second.keyboard.press('Escape');
  await until(second, () => !document.querySelector('dialog'), undefined);
  // Nothing was flipped under the list.
  await onPaper(second, '1');
  await second.keyboard.press('Shift+F');
  await second.locator('.fix-face').first().focus();
  await second.keyboard.press('Enter');
  await onPaper(second, '6');
  await second.context().close();
});
