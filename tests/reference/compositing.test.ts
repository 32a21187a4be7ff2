/**
 * W3C Compositing and Blending Level 1, simple alpha compositing (source-over): blue at ½ over red at ½ gives
 * co (¼, 0, ½) premultiplied, αo ¾, Co (⅓, 0, ⅔). Read back from the stage: on black paper a pixel is co, on
 * white paper co + (1 − αo).
 */
import type { Browser } from 'playwright';
import { afterAll, beforeAll, expect, it } from 'vitest';
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

it('plies are laid by source-over: blue at a half over red at a half', async () => {
  const page = await stagePage(tab, 200, 120);
  const onPaper = (paper: string) =>
    page.evaluate(async (paper) => {
      document.documentElement.style.setProperty('--paper', paper);
      const { harness, columnSource } = stageHarness;
      const image = { sha256: 'solid', width: 40, height: 20, mediaType: 'image/png', byteLength: 1 };
      const desk = harness({ sizePx: [40, 20], source: columnSource({ solid: [[0, 0, 0, 255]] }) });
      desk.stage.show({
        key: '1',
        clean: [],
        rough: [],
        ghosts: [
          { image, tint: [1, 0, 0], opacity: 0.5 },
          { image, tint: [0, 0, 1], opacity: 0.5 },
        ],
      });
      await desk.untilShown(({ complete }) => complete);
      const [pixel] = await desk.pixels([desk.stage.toStage([20, 10])]);
      desk.stage.destroy();
      return pixel?.map((value) => value / 255) ?? [];
    }, paper);
  const black = await onPaper('rgb(0, 0, 0)');
  const white = await onPaper('rgb(255, 255, 255)');
  // 8-bit pixels: each blend may round by one step.
  const near = (got: number | undefined, wanted: number) =>
    expect(Math.abs((got ?? 9) - wanted)).toBeLessThanOrEqual(1.5 / 255);
  const [co, published] = [black, [1 / 4, 0, 1 / 2]];
  for (const [channel, value] of published.entries()) near(co[channel], value);
  for (const channel of [0, 1, 2]) near((white[channel] ?? 9) - (black[channel] ?? 9), 1 - 3 / 4);
  for (const [channel, value] of [1 / 3, 0, 2 / 3].entries())
    expect(Math.abs((co[channel] ?? 9) / 0.75 - value)).toBeLessThanOrEqual(2 / 255);
  await page.close();
});
