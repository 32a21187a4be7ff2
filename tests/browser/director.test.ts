/**
 * A director's whole day at the built app, with pen and fingers, its host gone: notes drawn, retakes taken
 * in, what was redrawn, approved and reopened, how far the shot is and when it will be done.
 */
import type { Page } from 'playwright';
import { describe, expect, test } from 'vitest';
import { until } from '../support/browser.ts';
import { drag, line, tap } from '../support/pointers.ts';
import { eventually, onPaper, openDesk, openShelf, pictured, title } from './desk-app.ts';
import { found, small } from './everyone.ts';
import { app, browser, startKettle } from './kettle-browser.ts';
import { draw, onStage, pinIt } from './notes-hand.ts';
import { base, exportedAgain, newSpout, spout } from './retake-files.ts';

startKettle();

const forward = async (page: Page, labels: readonly string[]): Promise<void> => {
  for (const label of labels) {
    await page.keyboard.press('ArrowRight');
    await onPaper(page, label);
  }
};

/** A ring with the pen round a place in shares of the paper, which lies fitted on the stage (960 × 540). */
async function ring(page: Page, at: { readonly x: number; readonly y: number }): Promise<void> {
  const box = await page.locator('.stage').boundingBox();
  if (!box) throw new Error('There is no stage.');
  const scale = Math.min(box.width / 960, box.height / 540);
  const share = (x: number, y: number): [number, number] => [
    0.5 + ((x - 0.5) * 960 * scale) / box.width,
    0.5 + ((y - 0.5) * 540 * scale) / box.height,
  ];
  const points = Array.from({ length: 12 }, (_, n) =>
    share(at.x + 0.05 * Math.cos(n * 0.55), at.y + 0.06 * Math.sin(n * 0.55)),
  );
  await draw(page, points);
}

async function note(page: Page, at: { readonly x: number; readonly y: number }, text: string): Promise<void> {
  await ring(page, at);
  await page.getByRole('button', { name: 'Notes beside the paper' }).tap();
  await page.getByLabel('What is to be done').fill(text);
  await pinIt(page);
  await page.getByRole('button', { name: 'Notes beside the paper' }).tap();
}

const verdicts = (page: Page): Promise<string[]> => page.locator('.rest .verdict').allInnerTexts();
const open = (page: Page, panel: string): Promise<void> =>
  page.getByRole('button', { name: new RegExp(`^${panel}:`) }).tap();
const saved = (page: Page): Promise<void> =>
  until(page, () => document.querySelector('.saved-sign')?.textContent === 'saved', undefined);

describe('a director’s day', () => {
  test('from the shot on the desk to the forecast, without a network', async () => {
    const page = await openShelf(browser, app);
    await page.locator('[data-offline=whole]').waitFor();
    await page.context().setOffline(true);
    await page.getByRole('heading', { name: title }).tap();
    await onPaper(page, '1');

    // Flips through, and draws what is wrong on three drawings.
    await forward(page, ['2']);
    await note(page, spout, 'The spout is too thin');
    await forward(page, ['3', '4']);
    await note(page, spout, 'The spout again');
    await forward(page, ['5', '6']);
    await note(page, base, 'The base is crooked');

    // The artist brings newer takes: one drawing redrawn at its note, one elsewhere, one only exported again.
    await open(page, 'Retakes');
    await eventually(() => verdicts(page)).toEqual(['6', '4', '2'].map(() => 'not redrawn since'));
    await page
      .locator('[data-pick=takes]')
      .setInputFiles([await newSpout('2'), await exportedAgain('4'), await newSpout('6')]);
    await page.getByText('is the same, pixel for pixel, as take 1 of 4').waitFor();
    await page.getByRole('link', { name: 'Open “The kettle boils over”' }).tap();
    await page.getByRole('complementary', { name: 'Retakes' }).waitFor();
    // In working order: the key, the breakdown, the in-between.
    await eventually(() => verdicts(page)).toEqual([
      'redrawn elsewhere',
      'not redrawn since',
      'redrawn here',
    ]);
    await page.getByRole('button', { name: 'Notes beside the paper' }).tap();
    for (const slip of await page.locator('.slip-face').all()) {
      await slip.tap();
      await page.getByRole('button', { name: 'Fixed', exact: true }).tap();
      await page.getByRole('button', { name: 'Fixed', exact: true }).waitFor({ state: 'detached' });
      await slip.tap();
    }

    // The director goes through the fixed ones: old and new under one thumb.
    await open(page, 'Retakes');
    await page.getByText('3 fixed notes wait').waitFor();
    await page.getByRole('button', { name: 'Go through them' }).tap();
    await onPaper(page, '6');
    // It leads to the place of the note; the marks that tell the takes apart lie at the edge of the paper.
    await page.getByRole('button', { name: 'Whole paper' }).tap();
    await eventually(() => pictured(page, 'clean')).toBe(6 + 8);
    const pad = await page.locator('.thumb-pad').boundingBox();
    if (!pad) throw new Error('There is no thumb pad.');
    const leaf = (share: number) => ({ x: pad.x + share * pad.width, y: pad.y + pad.height / 2 });
    await tap(page, leaf(0.25));
    await eventually(() => pictured(page, 'clean')).toBe(6);
    // The thumb runs across the middle: the new one lies on top, and stays when it lifts.
    await drag(page, [line(leaf(0.25), leaf(0.8), 4)]);
    await eventually(() => pictured(page, 'clean')).toBe(6 + 8);
    // A finger across the paper flips the takes too, not the drawings; at once, or it would be a hold.
    const [from, to] = await onStage(page, [
      [0.6, 0.25],
      [0.4, 0.25],
    ]);
    if (from && to) await drag(page, [line(from, to, 3)]);
    await eventually(() => pictured(page, 'clean')).toBe(6);
    await onPaper(page, '6');
    // Left of the wipe line, where the squares are, lies the old one; under the new one it only shows through.
    for (const [way, words, squares] of [
      ['Beside', 'Take 1 beside take 2', undefined],
      ['Wipe', 'Take 1 wiped by take 2', 6],
      ['Under', 'Take 1 under take 2, 6 %', 6 + 8],
      ['Difference', 'Difference between takes 1 and 2', undefined],
    ] as const) {
      await page.locator('.in-hand').getByRole('button', { name: way, exact: true }).tap();
      await page.locator('.way-words', { hasText: words }).waitFor();
      if (squares) await eventually(() => pictured(page, 'clean')).toBe(squares);
    }
    expect(await found(page)).toEqual([]);
    expect(await small(page)).toEqual([]);

    // One tap each; the next comes up by itself.
    await page.getByRole('button', { name: 'Reopen', exact: true }).tap();
    await onPaper(page, '4');
    await page.getByText('The spout again').first().waitFor();
    await page.getByRole('button', { name: 'Reopen', exact: true }).tap();
    await onPaper(page, '2');
    await page.locator('.looked-verdict').getByText('redrawn here').waitFor();
    await page.getByRole('button', { name: 'Approve', exact: true }).tap();
    await page.getByText('No other fixed note waits').waitFor();
    await eventually(() => page.locator('.rest .note-state').allInnerTexts()).toEqual([
      'reopened',
      'reopened',
    ]);

    // The fuller spouts leave the rough behind: a check that passed before.
    await page.locator('.since li', { hasText: 'off the rough' }).getByText('new').first().waitFor();

    // How far it is: one drawing has no clean-up yet.
    await open(page, 'Progress');
    await page.getByText('3 of 3 clean').waitFor();
    await page.getByRole('button', { name: '5, rough' }).tap();
    await onPaper(page, '5');
    // Those whose notes were reopened are work to come, too.
    await page.getByText(/^1 to clean, 2 drawings to mend: likely done on /).waitFor();
    await page.getByText('common practice').first().waitFor();
    await page.getByLabel('Due by the evening of').fill('2020-03-02');
    await page.getByText('3 drawings would not be done').waitFor();
    expect(await found(page)).toEqual([]);
    expect(await small(page)).toEqual([]);
    const states = page.getByRole('group', { name: 'State' });
    await states.getByRole('button', { name: 'clean', exact: true }).tap();
    await page.getByText(/^All clean, 2 drawings to mend: /).waitFor();
    await page.getByRole('button', { name: '5, clean' }).waitFor();
    await page.getByRole('button', { name: '1, clean' }).tap();
    await states.getByRole('button', { name: 'approved' }).tap();
    await page.getByRole('button', { name: '1, approved' }).waitFor();
    await page.getByRole('row', { name: /director 1 1 1/ }).waitFor();
    await saved(page);

    // A reload, still without a network, finds all of it; the shelf says what is done.
    await page.reload();
    await page.getByRole('button', { name: '1, approved' }).waitFor();
    await page.getByRole('button', { name: 'Back to the shelf' }).tap();
    await page.getByText('7 of 7 clean, 1 of them approved').waitFor();
    await page.context().close();
  });

  test('for everyone: both screens upright and across, for both hands, day and dark', async () => {
    const page = await openDesk(browser, app, 'portrait');
    await page.keyboard.press('d');
    await page.getByLabel('What is to be done').fill('Close the lid');
    await page.keyboard.press('Control+Enter');
    for (const panel of ['Retakes', 'Progress']) {
      await open(page, panel);
      await page.getByRole('complementary', { name: panel }).getByRole('button').nth(2).waitFor();
      for (const [width, height] of [
        [820, 1180],
        [1366, 1024],
      ] as const) {
        await page.setViewportSize({ width, height });
        expect(await found(page), `${panel} ${width}`).toEqual([]);
        expect(await small(page), `${panel} ${width}`).toEqual([]);
      }
    }
    await page.emulateMedia({ colorScheme: 'dark' });
    await eventually(() => page.evaluate(() => document.documentElement.dataset['light'])).toBe('dark');
    await page.evaluate(() => {
      document.documentElement.dataset['hand'] = 'left';
    });
    expect(await found(page)).toEqual([]);
    await page.context().close();
  });
});
