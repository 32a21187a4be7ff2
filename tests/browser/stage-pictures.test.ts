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

  it('agree for the other layer too', async () => {
    const page = await stagePage(tab);
    const seen = await page.evaluate(async () => {
      const { harness, spreadOf } = stageHarness;
      const desk = harness({ sizePx: [640, 360], delayMs: { thumb: 2, flip: 6 } });
      desk.stage.show(spreadOf(7, [640, 360]));
      await desk.untilShown(({ key, complete }) => key === '7' && complete);
      desk.stage.compare({ way: 'rough' });
      await desk.untilShown(({ way, complete }) => way === 'rough' && complete);
      return { shown: desk.shown, code: await desk.code() };
    });
    for (const shown of seen.shown.filter(({ complete }) => complete))
      expect(shown.read).toMatchObject({ number: 7, layer: shown.way });
    expect(seen.code?.layer).toBe('rough');
    await page.close();
  });

  it('says so when the source keeps neither size of an image, and stays usable', async () => {
    const page = await stagePage(tab);
    const shown = await page.evaluate(async () => {
      const { harness, spreadOf } = stageHarness;
      const none = () => Promise.resolve(undefined);
      const desk = harness({ sizePx: [640, 360], source: { thumb: none, flip: none, full: none } });
      desk.stage.show(spreadOf(1, [640, 360]));
      await desk.untilShown(({ key }) => key === '1');
      desk.stage.show(spreadOf(2, [640, 360]));
      return desk.untilShown(({ key }) => key === '2');
    });
    expect(shown.complete).toBe(false);
    await page.close();
  });
});

describe('camera and pixels', () => {
  it.each([
    { zoom: 0.5, angleRad: 0, mirrored: true },
    { zoom: 0.45, angleRad: 0.4, mirrored: false },
    { zoom: 0.45, angleRad: -2.5, mirrored: true },
  ])('agree at $zoom, $angleRad rad, mirrored $mirrored', async (camera) => {
    const page = await stagePage(tab);
    const code = await page.evaluate(async (camera) => {
      const { harness, spreadOf } = stageHarness;
      const desk = harness({ sizePx: [640, 360] });
      desk.stage.show(spreadOf(178, [640, 360]));
      await desk.untilShown(({ complete, quality }) => complete && quality === 'full');
      desk.stage.moveTo({ ...camera, centre: [320, 180] });
      return desk.code();
    }, camera);
    expect(code).toMatchObject({ number: 178, layer: 'clean' });
    await page.close();
  });

  it('keeps the weight of a thin line at any reduction, wherever it falls', async () => {
    const page = await stagePage(tab);
    const inks = await page.evaluate(async () => {
      const { harness, lineSource, imageOf } = stageHarness;
      const sizePx = [1920, 1080] as const;
      const desk = harness({ sizePx, source: lineSource(4, 101) });
      desk.stage.show({ key: '1', clean: [imageOf('clean', 1, sizePx)], rough: [], ghosts: [] });
      await desk.untilShown(({ complete }) => complete);
      const sums: number[] = [];
      for (const zoom of [0.11, 0.14, 0.19, 0.23]) {
        desk.stage.moveTo({ ...desk.stage.camera(), zoom });
        const { centre } = desk.stage.camera();
        const mid = desk.stage.toStage([centre[0], centre[1]]);
        // 4 px lines 101 px apart: ink is 4/101 of the paper, so too on screen.
        const half = Math.floor(((101 * 4) / 2) * zoom * devicePixelRatio);
        const row = Array.from(
          { length: 2 * half },
          (_, i) => [mid[0] + (i - half + 0.5) / devicePixelRatio, mid[1]] as const,
        );
        const pixels = await desk.pixels(row);
        sums.push(pixels.reduce((sum, [r]) => sum + 1 - r / 255, 0) / (zoom * devicePixelRatio));
      }
      return sums;
    });
    // Four periods of 101 px hold four lines of 4 px: 16 px of ink in all, whatever the zoom.
    for (const ink of inks) expect(Math.abs(ink - 16)).toBeLessThan(16 * 0.12);
    await page.close();
  });
});

describe('sharpening', () => {
  it('shows the original when the hand rests and the flip picture would be magnified', async () => {
    const page = await stagePage(tab);
    const seen = await page.evaluate(async () => {
      const { harness, spreadOf } = stageHarness;
      const sizePx = [4096, 2160] as const;
      const desk = harness({ sizePx });
      desk.stage.show(spreadOf(77, sizePx));
      await desk.untilShown(({ quality }) => quality === 'flip');
      const atFit = { code: await desk.code(), bytes: desk.stage.stats().decodedBytes };
      // At this zoom half the paper's width is in view: 13 blocks do not fit, so only the size is asked for.
      desk.stage.actualPixels();
      const shown = await desk.untilShown(({ quality }) => quality === 'full');
      desk.stage.fit();
      return { atFit, shown, code: await desk.code(), stats: desk.stage.stats() };
    });
    expect(seen.atFit.code).toMatchObject({ number: 77, quality: 'flip' });
    expect(seen.shown.key).toBe('77');
    expect(seen.code).toMatchObject({ number: 77, quality: 'full' });
    expect(seen.stats.decodedBytes).toBeGreaterThanOrEqual(4096 * 2160 * 4);
    expect(seen.stats.peakDecodedBytes).toBeLessThanOrEqual(seen.stats.budgetBytes);
    await page.close();
  });
});

describe('a lost drawing context', () => {
  it('is rebuilt, and the same drawing is shown again', async () => {
    const page = await stagePage(tab);
    const seen = await page.evaluate(async () => {
      const { harness, spreadOf } = stageHarness;
      const desk = harness({ sizePx: [640, 360] });
      desk.stage.show(spreadOf(9, [640, 360]));
      await desk.untilShown(({ quality }) => quality === 'full');
      const loss = desk.canvas.getContext('webgl2')?.getExtension('WEBGL_lose_context');
      const once = (type: string) =>
        new Promise((done) => desk.canvas.addEventListener(type, done, { once: true }));
      const lost = once('webglcontextlost');
      loss?.loseContext();
      await lost;
      // Only once the event is over may the context be asked back.
      await new Promise((done) => requestAnimationFrame(done));
      const before = desk.shown.length;
      const restored = once('webglcontextrestored');
      loss?.restoreContext();
      await restored;
      await desk.untilShown(({ quality, complete }) => complete && quality === 'full');
      const after = desk.shown.slice(before);
      return { told: desk.told, last: after.at(-1), code: await desk.code() };
    });
    expect(seen.told.map(({ kind }) => kind)).toEqual(['lost', 'restored']);
    expect(seen.last).toMatchObject({ key: '9', complete: true });
    expect(seen.code).toMatchObject({ number: 9, layer: 'clean' });
    await page.close();
  });
});
