/** Each way to compare, pixel by pixel, against colours worked out by hand. Both painters. */
import type { Browser, Page } from 'playwright';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Compare, Spread } from '../../src/stage/types.ts';
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

const image = (sha256: string) => ({
  sha256,
  width: 400,
  height: 200,
  mediaType: 'image/png',
  byteLength: 1,
});
const spread: Spread = { key: '1', clean: [image('clean')], rough: [image('rough')], ghosts: [] };
const WHITE = [255, 255, 255];
const BLACK = [0, 0, 0];
const BLUE = [0, 0, 255];

/** Four columns: only clean ink (black), both, only rough ink (blue), neither. `upper` is a second level. */
async function openColumns(without: 'webgl2' | undefined): Promise<Page> {
  const page = await stagePage(tab, 440, 240);
  await page.evaluate((without) => {
    if (without) {
      // As in a browser that has no such context.
      const real = document.createElement.bind(document);
      const create = (name: string) => {
        const made = real(name);
        if (made instanceof HTMLCanvasElement) {
          const getContext = made.getContext.bind(made);
          const none = (kind: string) => (kind === without ? null : getContext(kind as '2d'));
          made.getContext = none as HTMLCanvasElement['getContext'];
        }
        return made;
      };
      document.createElement = create;
    }
    const [black, blue, clear, white] = [
      [0, 0, 0, 255],
      [0, 0, 255, 255],
      [0, 0, 0, 0],
      [255, 255, 255, 255],
    ] as const;
    globalThis.desk = stageHarness.harness({
      sizePx: [400, 200],
      source: stageHarness.columnSource({
        clean: [black, black, clear, clear],
        rough: [white, blue, blue, white],
        upper: [clear, clear, clear, [255, 0, 0, 255]],
        solid: [black],
      }),
    });
  }, without);
  return page;
}

/** Colours at the middles of the four columns of a view, given the paper points' shift downwards in CSS px. */
async function columns(page: Page, what: Spread, compare: Compare, shiftPx = 0): Promise<number[][]> {
  return page.evaluate(
    async ({ what, compare, shiftPx }) => {
      desk.stage.compare(compare);
      desk.stage.show(what);
      // Reading pixels sets the camera by hand; fitting again takes the two halves into account.
      desk.stage.fit();
      await desk.untilShown(({ key, way, complete }) => key === what.key && way === compare.way && complete);
      const points = [50, 150, 250, 350].map((x) => {
        const [left, top] = desk.stage.toStage([x, 100]);
        return [left, top + shiftPx] as const;
      });
      return desk.pixels(points);
    },
    { what, compare, shiftPx },
  );
}
function expectColours(got: number[][], wanted: readonly (readonly number[])[]): void {
  for (const [index, colour] of wanted.entries())
    for (const [channel, value] of colour.entries())
      expect(
        Math.abs((got[index]?.[channel] ?? -99) - value),
        `column ${index}, channel ${channel}: ${JSON.stringify(got)}`,
      ).toBeLessThanOrEqual(2);
}

describe.each([
  { painter: 'WebGL2', without: undefined },
  { painter: '2D canvas', without: 'webgl2' as const },
])('on the $painter painter', ({ without }) => {
  let page: Page;
  beforeAll(async () => {
    page = await openColumns(without);
  });
  afterAll(() => page.close());

  it('clean', async () =>
    expectColours(await columns(page, spread, { way: 'clean' }), [BLACK, BLACK, WHITE, WHITE]));
  it('rough', async () =>
    expectColours(await columns(page, spread, { way: 'rough' }), [WHITE, BLUE, BLUE, WHITE]));
  it('underlay at a half: blue over white is (½, ½, 1)', async () =>
    expectColours(await columns(page, spread, { way: 'underlay', opacity: 0.5 }), [
      BLACK,
      BLACK,
      [127.5, 127.5, 255],
      WHITE,
    ]));
  it('side by side: here the clean above the rough, locked together', async () => {
    expect(await page.evaluate(() => desk.stage.isStacked())).toBe(true);
    expectColours(await columns(page, spread, { way: 'side by side' }), [WHITE, BLUE, BLUE, WHITE]);
    const upPx = await page.evaluate(() => -(document.querySelector('canvas')?.clientHeight ?? 0) / 2);
    expectColours(await columns(page, spread, { way: 'side by side' }, upPx), [BLACK, BLACK, WHITE, WHITE]);
  });
  it('wipe: rough left of the line, clean right of it', async () =>
    expectColours(await columns(page, spread, { way: 'wipe', at: 0.5 }), [WHITE, BLUE, WHITE, WHITE]));
  it('difference: solid, pale, hatched, blank', async () => {
    const [cleanOnly, both, , neither] = await columns(page, spread, { way: 'difference' });
    // Clean-only ink is 0.08 of white; what both have darkens the paper by a quarter.
    expectColours([cleanOnly, both, neither] as number[][], [[20, 20, 20], [191, 191, 191], WHITE]);
    const hatched = await page.evaluate(() => {
      const [x, y] = desk.stage.toStage([250, 100]);
      return desk.pixels(Array.from({ length: 24 }, (_, i) => [x + i / 2, y] as const));
    });
    const inked = hatched.filter(([r, g]) => r < 180 && g < 60).length;
    const blank = hatched.filter(([, g]) => g > 250).length;
    // Half and half, whatever the phase: told apart from the solid clean ink without colour.
    expect(inked).toBe(12);
    expect(blank).toBe(12);
  });
  it('the hatch falls to the right on either painter', async () => {
    await columns(page, spread, { way: 'difference' });
    const inked = await page.evaluate(async () => {
      const [x, y] = desk.stage.toStage([250, 100]);
      const way = (slope: number) =>
        desk.pixels(Array.from({ length: 24 }, (_, i) => [x + i / 2, y + (slope * i) / 2] as const));
      return [await way(1), await way(-1)].map((pixels) => pixels.filter(([, g]) => g < 60).length);
    });
    // Along it all is ink or all is blank; across it half is each.
    expect([0, 24]).toContain(inked[0]);
    expect(inked[1]).toBe(12);
  });
  it('levels lie one over the other, and clear parts let the lower one through', async () =>
    expectColours(
      await columns(page, { ...spread, key: '2', clean: [image('clean'), image('upper')] }, { way: 'clean' }),
      [BLACK, BLACK, WHITE, [255, 0, 0]],
    ));
  it('ghosts show through in their tint, under the ink', async () =>
    expectColours(
      await columns(
        page,
        { ...spread, key: '3', ghosts: [{ image: image('rough'), tint: [0, 1, 0], opacity: 0.4 }] },
        { way: 'clean' },
      ),
      // 0.4 of green over white leaves red and blue at 0.6 · 255 = 153 (column 2 has clean ink on top);
      // blue ink on white is fully ink: a = 1 − min(0, 0, 1) = 1.
      [BLACK, BLACK, [153, 255, 153], WHITE],
    ));
});
