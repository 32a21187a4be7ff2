/**
 * To and fro over 100 drawings of 4096×2160 at 60 steps a second for 10 s, from a real shelf, once the
 * stage has decoded ahead what the budget holds; told beside it, the same from the moment the first drawing is there
 * and nothing else. Every picture says in its pixels which drawing it is, and
 * is read back in the very frame in which the stage tells its number.
 *
 * The viewport is small, as a browser without a graphics card cannot fill a tablet's screen 60 times a
 * second; what is read, decoded and uploaded does not depend on it. A step that fell between two frames of the
 * browser was not shown at all and is told apart from one shown too coarsely.
 */
import { launch } from '../support/browser.ts';
import { callModule, modulePage } from '../support/module-page.ts';
import type { Scrubbed } from '../support/stage-bench.ts';
import type { Row } from './row.ts';

const SEED = 412;
export const seeds = [SEED];
const MODULE = '/tests/support/stage-bench.ts';
const DRAWINGS = 100;
const SECONDS = 10;
const MB = 1e6;

export async function rows(): Promise<Row[]> {
  const browser = await launch();
  const tab = await modulePage(browser);
  try {
    await tab.page.setViewportSize({ width: 240, height: 160 });
    await callModule(tab.page, MODULE, 'keepLargeShot', DRAWINGS, SEED);
    const scrub = (compare: object, cold: boolean) =>
      callModule<Scrubbed>(tab.page, MODULE, 'scrub', DRAWINGS, SECONDS, compare, cold);
    const cold = await scrub({ way: 'clean' }, true);
    const clean = await scrub({ way: 'clean' }, false);
    const underlay = await scrub({ way: 'underlay', opacity: 0.06 }, false);
    const all = [cold, clean, underlay];
    const sum = (of: (each: Scrubbed) => number) => all.reduce((total, each) => total + of(each), 0);
    return [
      { name: 'scrub: blank frames', value: sum(({ blank }) => blank), unit: 'frames', limit: 0 },
      { name: 'scrub: wrong frames', value: sum(({ wrong }) => wrong), unit: 'frames', limit: 0 },
      {
        name: 'scrub: steps shown at flip size or better',
        value: clean.sharpShare * 100,
        unit: '%',
        limit: 95,
        atLeast: true,
      },
      { name: 'scrub: steps that met a frame', value: (clean.stepsShown / clean.steps) * 100, unit: '%' },
      {
        name: 'scrub: peak decoded',
        value: clean.peakDecodedBytes / MB,
        unit: 'MB',
        limit: clean.budgetBytes / MB,
      },
      { name: 'scrub: the same, nothing decoded before', value: cold.sharpShare * 100, unit: '%' },
      {
        name: 'scrub: the same with the rough as underlay (twice the pictures)',
        value: underlay.sharpShare * 100,
        unit: '%',
      },
      {
        name: 'scrub: peak decoded with underlay',
        value: underlay.peakDecodedBytes / MB,
        unit: 'MB',
        limit: underlay.budgetBytes / MB,
      },
    ];
  } finally {
    await tab.close();
    await browser.close();
  }
}
