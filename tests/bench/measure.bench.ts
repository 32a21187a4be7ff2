/**
 * Measuring a rough and clean pair of 4096 × 2160 on one core, against OpenCV-WASM's precise
 * `distanceTransform` of the same clean drawing in the same run (= 1). Best of several, after warming up.
 */
import { execFileSync } from 'node:child_process';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { distanceField } from '../../src/line/distance.ts';
import { measureDrift } from '../../src/line/drift.ts';
import { inkOf, LINE_FROM } from '../../src/line/ink.ts';
import { findLeaks } from '../../src/line/leaks.ts';
import { lineSamples } from '../../src/line/line-samples.ts';
import { measureDrawing } from '../../src/line/measure-drawing.ts';
import type { Picture } from '../../src/line/picture.ts';
import { regionsOf } from '../../src/line/regions.ts';
import { registerInk } from '../../src/line/register.ts';
import { changeSamples } from '../../src/line/reweight/apply-change.ts';
import { reweigh } from '../../src/line/reweight/reweigh.ts';
import { lineRuns } from '../../src/line/runs.ts';
import { skeletonOf } from '../../src/line/skeleton.ts';
import { findSpecks } from '../../src/line/specks.ts';
import { measureVolume } from '../../src/line/volume.ts';
import { measureWeight } from '../../src/line/weight.ts';
import { measureWobble } from '../../src/line/wobble.ts';
import { Workspace } from '../../src/line/workspace.ts';
import { page } from '../support/measure-pages.ts';
import { loadOpenCv } from '../support/opencv.ts';
import type { Row } from './row.ts';

const SEED = 3;
export const seeds = [SEED];
const ROUNDS = 9;

/** Shortest of the rounds, ms; what is done after a round (giving arrays back) is not counted. */
function bestMs<T>(work: () => T, after: (result: T) => void = () => undefined): number {
  let best = Infinity;
  for (let round = 0; round < ROUNDS; round++) {
    const start = performance.now();
    const result = work();
    best = Math.min(best, performance.now() - start);
    after(result);
  }
  return best;
}

/** The whole of it but reading and writing the file, as it is done: ink, the change, the change in the picture itself. */
function reweighed(picture: Picture, byPx: number, workspace: Workspace): void {
  const ink = inkOf(picture, workspace);
  changeSamples(picture, ink.coverage, ink.paper, reweigh(ink, byPx));
  workspace.release(ink.coverage);
}

/** OpenCV's distance and the pair by turns, so that a busy moment of the machine falls on both; best of each. */
async function againstOpenCv(clean: Picture, rough: Picture, coverage: Uint8Array) {
  const { width, height } = clean;
  const cv = await loadOpenCv();
  const paper = new cv.Mat(height, width, cv.CV_8U);
  for (let i = 0; i < coverage.length; i++) paper.data[i] = coverage[i]! >= LINE_FROM ? 0 : 255;
  const out = new cv.Mat();
  const workspace = new Workspace();
  const worked = clean.data.slice();
  let [yardstickMs, pairMs, thickerMs, thinnerMs] = [Infinity, Infinity, Infinity, Infinity];
  for (let round = 0; round < ROUNDS; round++) {
    const start = performance.now();
    cv.distanceTransform(paper, out, cv.DIST_L2, cv.DIST_MASK_PRECISE);
    const between = performance.now();
    measureDrawing(clean, rough, {}, workspace);
    yardstickMs = Math.min(yardstickMs, between - start);
    pairMs = Math.min(pairMs, performance.now() - between);
    // From the drawing as it is each time, thicker and thinner.
    worked.set(clean.data);
    const thicker = performance.now();
    reweighed({ ...clean, data: worked }, 1, workspace);
    thickerMs = Math.min(thickerMs, performance.now() - thicker);
    worked.set(clean.data);
    const thinner = performance.now();
    reweighed({ ...clean, data: worked }, -1, workspace);
    thinnerMs = Math.min(thinnerMs, performance.now() - thinner);
  }
  paper.delete();
  out.delete();
  return { yardstickMs, pairMs, reweighMs: Math.max(thickerMs, thinnerMs) };
}

/** Most memory of measuring one pair beyond its two pictures, bytes a pixel, in a process of its own. */
function bytesAPixel(width: number): number {
  const program = join(import.meta.dirname, '../support/measure-memory.ts');
  const tsx = pathToFileURL(createRequire(import.meta.url).resolve('tsx')).href;
  const bytes = Number(
    execFileSync(process.execPath, ['--expose-gc', '--import', tsx, program, String(width), String(SEED)]),
  );
  return bytes / (width * Math.round((width * 2160) / 4096));
}

export async function rows(): Promise<Row[]> {
  const clean = page(4096, 'clean', SEED);
  const rough = page(4096, 'rough', SEED);
  const { width, height } = clean;
  const workspace = new Workspace();
  const ink = inkOf(clean);
  const roughInk = inkOf(rough);
  const line = lineRuns(ink.coverage, width, height);
  const skeleton = skeletonOf(line);
  const samples = lineSamples(ink, skeleton);
  const regions = regionsOf(line);
  const registration = registerInk(ink, roughInk);
  const giveBack = (array: Uint8Array | Uint16Array | Int32Array) => workspace.release(array);
  const steps: [name: string, ms: number][] = [
    [
      'ink of one drawing',
      bestMs(
        () => inkOf(clean, workspace),
        ({ coverage }) => giveBack(coverage),
      ),
    ],
    ['runs and regions', bestMs(() => regionsOf(lineRuns(ink.coverage, width, height)))],
    ['skeleton', bestMs(() => skeletonOf(line, workspace))],
    ['samples and line weight', bestMs(() => measureWeight(lineSamples(ink, skeleton)))],
    ['volume', bestMs(() => measureVolume(ink, line, regions, samples))],
    ['leaks', bestMs(() => findLeaks(ink, line, skeleton, { mostGapPx: 24 }))],
    ['specks', bestMs(() => findSpecks(ink, line, regions))],
    ['registration', bestMs(() => registerInk(ink, roughInk))],
    [
      'drift',
      bestMs(() => measureDrift({ clean: samples, cleanSize: clean, roughInk, rough, registration })),
    ],
    ['wobble', bestMs(() => measureWobble(samples, clean))],
    [
      'exact distance of every pixel',
      bestMs(
        () => distanceField(ink.coverage, width, height, {}, workspace),
        ({ distSq }) => giveBack(distSq),
      ),
    ],
  ];
  const { yardstickMs, pairMs, reweighMs } = await againstOpenCv(clean, rough, ink.coverage);
  const [small, smallRough] = [page(1448, 'clean', SEED), page(1448, 'rough', SEED)];
  const smallMs = bestMs(() => measureDrawing(small, smallRough, {}, workspace));
  const pixels = (width * height) / (small.width * small.height);
  return [
    {
      name: 'measure a pair of 4096×2160, OpenCV distance = 1',
      value: pairMs / yardstickMs,
      unit: '×',
      limit: 1.2,
    },
    {
      name: 'reweight a drawing of 4096×2160 by 1 px, the slower way, OpenCV distance = 1',
      value: reweighMs / yardstickMs,
      unit: '×',
      limit: 1,
    },
    {
      name: 'measure: memory beyond the two pictures',
      value: bytesAPixel(4096),
      unit: 'bytes/px',
      limit: 12,
    },
    {
      name: 'measure: 1 to 8 megapixels, linear = 1',
      value: pairMs / smallMs / pixels,
      unit: '×',
      limit: 1,
    },
    { name: 'measure: OpenCV distance', value: yardstickMs, unit: 'ms' },
    { name: 'measure: the pair', value: pairMs, unit: 'ms' },
    ...steps.map(([name, value]) => ({ name: `measure: ${name}`, value, unit: 'ms' })),
  ];
}
