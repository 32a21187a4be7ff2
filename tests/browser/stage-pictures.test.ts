/** What the stage draws, in a real browser: never blank, never wrong. */
import type { Browser } from 'playwright';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { launch } from '../support/browser.ts';
import { type ModulePage, modulePage } from '../support/module-page.ts';
import { stagePage } from '../support/stage-page.ts';

let browser: Browser;
let tab: ModulePage;
beforeAll(async () => {
  browser = await launch();
  tab = await modulePage(browser);
});
afterAll(async () => {
  await tab.close();
  await browser.close();
});

describe('number and picture', () => {
  it('agree in every frame told while scrubbing outruns decoding', async () => {
    const page = await stagePage(tab);
    const seen = await page.evaluate(async () => {
      const { harness, spreadOf, imageOf } = stageHarness;
      const sizePx = [1920, 1080] as const;
      const desk = harness({ sizePx, delayMs: { thumb: 3, flip: 40 } });
      desk.stage.keepThumbs(Array.from({ length: 40 }, (_, number) => imageOf('clean', number, sizePx)));
      for (let step = 0; step < 120; step++) {
        desk.stage.show(spreadOf((step * 7) % 40, sizePx));
        await new Promise((done) => requestAnimationFrame(done));
      }
      desk.stage.show(spreadOf(39, sizePx));
      await desk.untilShown(({ key, quality }) => key === '39' && quality === 'full');
      return desk.shown;
    });
    expect(seen.length).toBeGreaterThan(20);
    // Before the first thumb is in there is honestly nothing, and the stage says so.
    for (const shown of seen.filter(({ complete }) => complete)) {
      expect(shown.read, `drawing ${shown.key}`).toMatchObject({ number: Number(shown.key), layer: 'clean' });
      // The flip picture of a 1920 px drawing has all its pixels: it counts as full.
      expect(shown.quality).toBe(shown.read?.quality === 'thumb' ? 'thumb' : 'full');
    }
    const first = seen.findIndex(({ complete }) => complete);
    expect(seen.slice(first).every(({ complete }) => complete)).toBe(true);
    await page.close();
  });
});
