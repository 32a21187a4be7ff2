/** Fingers, pen and mouse on the stage, through the browser's own input path. */
import type { Browser, Page } from 'playwright';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { launch, until } from '../support/browser.ts';
import { type ModulePage, modulePage } from '../support/module-page.ts';
import { drag, fingers, handClock, line, nextFrame, pen, stroke, tap } from '../support/pointers.ts';
import type { Told } from '../support/stage-harness.ts';
import { stagePage } from '../support/stage-page.ts';

let browser: Browser;
let tab: ModulePage;
let page: Page;
beforeAll(async () => {
  browser = await launch();
  tab = await modulePage(browser);
});
afterAll(async () => {
  await tab.close();
  await browser.close();
});
beforeEach(async () => {
  page = await stagePage(tab);
  await page.evaluate(async () => {
    globalThis.desk = stageHarness.harness({ sizePx: [640, 360] });
    desk.stage.show(stageHarness.spreadOf(5, [640, 360]));
    await desk.untilShown(({ complete }) => complete);
  });
});
afterEach(() => page.close());

const told = <K extends Told['kind']>(kind: K): Promise<Extract<Told, { kind: K }>[]> =>
  page.evaluate((kind) => desk.told.filter((each) => each.kind === kind), kind) as never;
const flipped = async () => (await told('flip')).reduce((sum, { steps }) => sum + steps, 0);
const camera = () => page.evaluate(() => desk.stage.camera());
/** Waits in the page until something was told. */
const untilTold = (kind: Told['kind'], count = 1) =>
  until(page, ({ kind, count }) => desk.told.filter((each) => each.kind === kind).length >= count, {
    kind,
    count,
  });
/** Lets so much time of the page's own clock pass: what is waited for here is a span of time itself. */
const pageTime = (ms: number) => page.evaluate((ms) => new Promise<void>((done) => setTimeout(done, ms)), ms);

describe('one finger', () => {
  it('flips one drawing per 24 px, the first after 0.65 of that', async () => {
    await drag(page, [line({ x: 100, y: 160 }, { x: 100 + 24 * 5, y: 160 }, 12)]);
    // 5 steps of the way are past 4.65 and short of 5.65.
    expect(await flipped()).toBe(5);
  });
  it('flips back with it, and downwards as well as to the right', async () => {
    await drag(page, [line({ x: 300, y: 160 }, { x: 300 - 24 * 3, y: 160 }, 9)]);
    expect(await flipped()).toBe(-3);
    await drag(page, [line({ x: 300, y: 60 }, { x: 300, y: 60 + 24 * 3 }, 9)]);
    expect(await flipped()).toBe(0);
  });
  it('does not flicker when it trembles at the edge of a step', async () => {
    const edge = 100 + 24 * 1.65 + 1;
    const tremble = Array.from({ length: 8 }, (_, i) => ({ x: edge + (i % 2 ? -4 : 0), y: 160 }));
    await drag(page, [[...line({ x: 100, y: 160 }, { x: edge, y: 160 }, 4), ...tremble]]);
    expect((await told('flip')).map(({ steps }) => steps).filter((steps) => steps < 0)).toEqual([]);
    expect(await flipped()).toBe(2);
  });
  it('taps at a place of the paper', async () => {
    await tap(page, { x: 240, y: 160 });
    await untilTold('tap');
    const [only] = await told('tap');
    // The stage is 480 × 320 and fitted: its middle is the middle of the paper.
    expect(only?.paper[0]).toBeCloseTo(320, 6);
    expect(only?.paper[1]).toBeCloseTo(180, 6);
    expect(await flipped()).toBe(0);
  });
  it('held still shows the other layer until lifted, even after it slipped', async () => {
    await fingers(page, 'touchStart', [{ x: 200, y: 150 }]);
    await untilTold('hold');
    await fingers(page, 'touchMove', [{ x: 260, y: 150 }]);
    await nextFrame(page);
    await fingers(page, 'touchEnd', []);
    await untilTold('hold', 2);
    expect((await told('hold')).map(({ down }) => down)).toEqual([true, false]);
    expect(await flipped()).toBe(0);
    expect(await told('tap')).toEqual([]);
  });
});

describe('two fingers', () => {
  it('pinch: the paper under them stays under them, and nothing flips', async () => {
    const start = [
      { x: 180, y: 160 },
      { x: 300, y: 160 },
    ] as const;
    const before = await page.evaluate(() => [
      desk.stage.toPaper([180, 160]),
      desk.stage.toPaper([300, 160]),
    ]);
    await drag(page, [line(start[0], { x: 120, y: 150 }, 10), line(start[1], { x: 360, y: 150 }, 10)]);
    const after = await page.evaluate(() => [desk.stage.toPaper([120, 150]), desk.stage.toPaper([360, 150])]);
    for (const [finger, place] of before.entries())
      for (const axis of [0, 1] as const) expect(after[finger]?.[axis]).toBeCloseTo(place[axis], 6);
    expect(await flipped()).toBe(0);
    expect(await told('tap')).toEqual([]);
  });
  it('turn the paper, once the twist is meant (7°)', async () => {
    const around = (angle: number) => ({ x: 240 + 80 * Math.cos(angle), y: 160 + 80 * Math.sin(angle) });
    const arc = (from: number, by: number) =>
      Array.from({ length: 13 }, (_, i) => around(from + (by * i) / 12));
    await drag(page, [arc(0, 0.1), arc(Math.PI, 0.1)]);
    expect((await camera()).angleRad).toBe(0);
    await drag(page, [arc(0, 0.62), arc(Math.PI, 0.62)]);
    expect((await camera()).angleRad).toBeCloseTo(0.5, 6);
  });
  it('that lift one after the other do not flip with the one that stays', async () => {
    const stampMs = handClock();
    const pinched = [
      { x: 150, y: 160 },
      { x: 330, y: 160 },
    ];
    const together = [
      { x: 180, y: 160 },
      { x: 300, y: 160 },
    ];
    await fingers(page, 'touchStart', together, stampMs(0));
    await fingers(page, 'touchMove', pinched, stampMs(1));
    await fingers(page, 'touchEnd', pinched.slice(0, 1), stampMs(2));
    for (const [step, at] of line({ x: 150, y: 160 }, { x: 300, y: 160 }, 6).entries()) {
      await fingers(page, 'touchMove', [at], stampMs(3 + step));
      await nextFrame(page);
    }
    await fingers(page, 'touchEnd', [], stampMs(10));
    expect(await flipped()).toBe(0);
  });
  it('sleep is over a quarter of a second later', async () => {
    await drag(page, [
      line({ x: 180, y: 160 }, { x: 150, y: 160 }, 3),
      line({ x: 300, y: 160 }, { x: 330, y: 160 }, 3),
    ]);
    await pageTime(300);
    await drag(page, [line({ x: 100, y: 160 }, { x: 172, y: 160 }, 6)]);
    expect(await flipped()).toBe(3);
  });
  it('cannot lose the paper, however far they push', async () => {
    for (let push = 0; push < 4; push++)
      await drag(page, [
        line({ x: 20, y: 20 }, { x: 420, y: 260 }, 6),
        line({ x: 60, y: 20 }, { x: 460, y: 260 }, 6),
      ]);
    const { centre } = await camera();
    expect(centre[0]).toBeGreaterThanOrEqual(0);
    expect(centre[1]).toBeGreaterThanOrEqual(0);
  });
});

describe('pen', () => {
  it('draws in paper px and is told at its first contact', async () => {
    await stroke(page, line({ x: 240, y: 160 }, { x: 300, y: 160 }, 4));
    const events = await told('pen');
    expect(events.map(({ phase }) => phase).filter((phase) => phase !== 'move')).toEqual(['down', 'up']);
    expect(events[0]?.points[0]?.x).toBeCloseTo(320, 6);
    const { zoom } = await camera();
    expect(events.at(-1)?.points[0]?.x).toBeCloseTo(320 + 60 / zoom, 4);
    expect(await told('pen seen')).toHaveLength(1);
    expect(await flipped()).toBe(0);
    expect(await told('tap')).toEqual([]);
  });
  it('keeps its pressure', async () => {
    await pen(page, 'down', { x: 200, y: 150, pressure: 0.25 });
    await pen(page, 'up', { x: 200, y: 150 });
    expect((await told('pen'))[0]?.points[0]?.pressure).toBeCloseTo(0.25, 2);
  });
  it('ignores a palm while it is down and for half a second after', async () => {
    const before = await camera();
    await pen(page, 'down', { x: 200, y: 150 });
    await drag(page, [line({ x: 300, y: 200 }, { x: 400, y: 200 }, 5)]);
    await drag(page, [
      line({ x: 300, y: 200 }, { x: 320, y: 200 }, 3),
      line({ x: 400, y: 260 }, { x: 440, y: 280 }, 3),
    ]);
    await pen(page, 'up', { x: 200, y: 150 });
    await drag(page, [line({ x: 300, y: 200 }, { x: 400, y: 200 }, 5)]);
    expect(await flipped()).toBe(0);
    expect(await camera()).toEqual(before);
    await pageTime(550);
    await drag(page, [line({ x: 300, y: 200 }, { x: 372, y: 200 }, 5)]);
    expect(await flipped()).toBe(3);
  });
  it('and a palm that lay there first are no pinch', async () => {
    const before = await camera();
    await fingers(page, 'touchStart', [{ x: 400, y: 280 }]);
    await pen(page, 'down', { x: 200, y: 150 });
    await fingers(page, 'touchMove', [{ x: 440, y: 290 }]);
    await pen(page, 'move', { x: 220, y: 150 });
    await pen(page, 'up', { x: 220, y: 150 });
    await fingers(page, 'touchEnd', []);
    expect(await camera()).toEqual(before);
    expect(await flipped()).toBe(0);
    expect((await told('pen')).map(({ phase }) => phase)).toEqual(['down', 'move', 'up']);
  });
  it('flips instead when no notes are in hand', async () => {
    await page.evaluate(() => desk.stage.penTool('flip'));
    await stroke(page, line({ x: 100, y: 160 }, { x: 172, y: 160 }, 6));
    expect(await flipped()).toBe(3);
    expect(await told('pen')).toEqual([]);
  });
});

describe('fingers that draw', () => {
  beforeEach(() => page.evaluate(() => desk.stage.fingersDraw(true)));
  it('draw with one finger', async () => {
    await drag(page, [line({ x: 240, y: 160 }, { x: 300, y: 160 }, 6)]);
    const events = await told('pen');
    expect(events[0]?.phase).toBe('down');
    expect(events[0]?.points[0]?.x).toBeCloseTo(320, 6);
    expect(events.at(-1)?.phase).toBe('up');
    expect(await flipped()).toBe(0);
  });
  it('still pinch with two, and leave no mark', async () => {
    const { zoom } = await camera();
    await drag(page, [
      line({ x: 180, y: 160 }, { x: 120, y: 160 }, 6),
      line({ x: 300, y: 160 }, { x: 360, y: 160 }, 6),
    ]);
    expect((await camera()).zoom).toBeCloseTo(zoom * 2, 6);
    expect(await told('pen')).toEqual([]);
  });
});

describe('mouse', () => {
  it('flips with a drag and zooms about the pointer with the wheel', async () => {
    await stroke(page, line({ x: 100, y: 160 }, { x: 172, y: 160 }, 6), 'mouse');
    expect(await flipped()).toBe(3);
    // The wheel turns where Playwright's own mouse stands.
    await page.mouse.move(172, 160);
    const held = await page.evaluate(() => desk.stage.toPaper([172, 160]));
    const { zoom } = await camera();
    await page.mouse.wheel(0, -100);
    await until(page, (zoom) => desk.stage.camera().zoom > zoom, zoom);
    const still = await page.evaluate(() => desk.stage.toPaper([172, 160]));
    for (const axis of [0, 1] as const) expect(still[axis]).toBeCloseTo(held[axis], 6);
  });
  it('moves the paper with Shift', async () => {
    await page.evaluate(() => desk.stage.actualPixels());
    const { zoom, centre } = await camera();
    await page.keyboard.down('Shift');
    await page.mouse.move(200, 160);
    await page.mouse.down();
    await page.mouse.move(180, 160, { steps: 4 });
    await page.mouse.up();
    await page.keyboard.up('Shift');
    expect((await camera()).centre[0]).toBeCloseTo(centre[0] + 20 / zoom, 6);
    expect(await flipped()).toBe(0);
  });
});

describe('the wipe line', () => {
  it('goes with a drag that starts on it; a drag elsewhere still flips', async () => {
    await page.evaluate(() => desk.stage.compare({ way: 'wipe', at: 0.5 }));
    await drag(page, [line({ x: 245, y: 160 }, { x: 360, y: 160 }, 6)]);
    expect((await told('wipe')).at(-1)?.at).toBeCloseTo(360 / 480, 6);
    expect(await flipped()).toBe(0);
    await drag(page, [line({ x: 100, y: 160 }, { x: 172, y: 160 }, 6)]);
    expect(await flipped()).toBe(3);
  });
});
