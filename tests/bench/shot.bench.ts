/**
 * A whole shot of 4096 × 2160 checked on one core, as the desk and the prompt do: every drawing with its rough, then
 * spacing and boil between them. Against OpenCV-WASM's precise `distanceTransform` of the shot's own drawings in the
 * same run, taken between the jobs so that a busy moment falls on both (= 1 a drawing). Pictures are decoded before:
 * whoever waits for the desk has them open. Two lengths, so that the growth with the number of drawings is seen.
 */
import { existsSync, mkdirSync, renameSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { largeShot } from '../../sample-shots/large.ts';
import { type Job, jobsOf, type Request, type Result, type Results } from '../../src/check/jobs.ts';
import { runJob } from '../../src/check/run-job.ts';
import { type DiskShot, readShot } from '../../src/intake/node/read-shot.ts';
import { inkOf, LINE_FROM } from '../../src/line/ink.ts';
import type { Picture } from '../../src/line/picture.ts';
import { Workspace } from '../../src/line/workspace.ts';
import type { ImageRef } from '../../src/shot/model.ts';
import { ROOT } from '../support/built-app.ts';
import { loadOpenCv } from '../support/opencv.ts';
import type { Row } from './row.ts';

const SEED = 4;
export const seeds = [SEED];
/** From key to key eight drawings: one stretch, and three. */
const SHORT = 9;
const LONG = 25;
const MOST_GAP_PX = 24;

/** Drawn once and kept in `dist/`. */
function folderOf(count: number): string {
  const folder = join(ROOT, `dist/bench-shots/shot-${count}-4096-${SEED}`);
  if (existsSync(folder)) return folder;
  const aside = `${folder}.${process.pid}`;
  for (const { path, bytes } of largeShot({ count, seed: SEED })) {
    const place = join(aside, path);
    mkdirSync(dirname(place), { recursive: true });
    writeFileSync(place, bytes);
  }
  renameSync(aside, folder);
  return folder;
}

/** OpenCV's distance of one picture; ms. */
async function yardstick() {
  const cv = await loadOpenCv();
  return (picture: Picture): number => {
    const { width, height } = picture;
    const { coverage } = inkOf(picture);
    const paper = new cv.Mat(height, width, cv.CV_8U);
    for (let i = 0; i < coverage.length; i++) paper.data[i] = coverage[i]! >= LINE_FROM ? 0 : 255;
    const out = new cv.Mat();
    const start = processorMs();
    cv.distanceTransform(paper, out, cv.DIST_L2, cv.DIST_MASK_PRECISE);
    const ms = processorMs() - start;
    paper.delete();
    out.delete();
    return ms;
  };
}

/** Processor time of this process: a machine that is busy with something else, or stops it, changes little. */
function processorMs(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

interface Spent {
  readonly drawings: number;
  readonly referenceMs: number;
  readonly ms: Readonly<Record<Job['kind'], number>>;
  readonly longestMs: Readonly<Record<Job['kind'], number>>;
}

/** Every job of the shot, drawings first; ms by kind. */
async function spend(disk: DiskShot, reference: (picture: Picture) => number): Promise<Spent> {
  const workspace = new Workspace();
  const jobs = jobsOf(disk.shot, MOST_GAP_PX);
  const done = new Map<string, Result>();
  const ms = { drawing: 0, spacing: 0, boil: 0 };
  const longestMs = { drawing: 0, spacing: 0, boil: 0 };
  let referenceMs = 0;
  const run = async (job: Job, request: Request<Picture>) => {
    const start = processorMs();
    done.set(
      job.key,
      await runJob(
        request,
        (picture) => picture,
        workspace,
        async () => undefined,
      ),
    );
    const took = processorMs() - start;
    ms[job.kind] += took;
    longestMs[job.kind] = Math.max(longestMs[job.kind], took);
  };
  const picture = (image: ImageRef) => disk.picture(image);
  const drawings = jobs.filter((job) => job.kind === 'drawing');
  for (const job of drawings) {
    const clean = await picture(job.clean);
    const rough = job.rough && (await picture(job.rough));
    referenceMs += reference(clean);
    await run(job, { kind: 'drawing', key: job.key, clean, rough, mostGapPx: MOST_GAP_PX });
  }
  const of = (key: string) => done.get(key) as Results['drawing'];
  for (const job of jobs) {
    if (job.kind === 'drawing') continue;
    const [a, b] = [of(job.from).samples, of(job.to).samples];
    const { sizePx } = of(job.to);
    const { key } = job;
    if (job.kind === 'boil') await run(job, { kind: 'boil', key, a, b, sizePx });
    else await run(job, { kind: 'spacing', key, a, b, c: of(job.of).samples, sizePx });
  }
  return { drawings: drawings.length, referenceMs, ms, longestMs };
}

export async function rows(): Promise<Row[]> {
  const reference = await yardstick();
  const [short, long] = [await readShot(folderOf(SHORT)), await readShot(folderOf(LONG))];
  // Once to warm up.
  await spend(short, reference);
  const [few, many] = [await spend(short, reference), await spend(long, reference)];
  const all = ({ ms }: Spent) => ms.drawing + ms.spacing + ms.boil;
  const aDrawing = (spent: Spent) => all(spent) / spent.referenceMs;
  const part = (kind: Job['kind']): Row => ({
    name: `a whole shot: ${kind}, a drawing`,
    value: many.ms[kind] / many.drawings,
    unit: 'ms',
  });
  return [
    {
      name: `a whole shot of ${LONG} drawings of 4096×2160, OpenCV distance = 1 a drawing`,
      value: aDrawing(many),
      unit: '×',
      limit: 4,
    },
    {
      name: `a whole shot: from ${SHORT} drawings to ${LONG}, linear = 1`,
      value: aDrawing(many) / aDrawing(few),
      unit: '×',
      limit: 1.25,
    },
    part('drawing'),
    part('spacing'),
    part('boil'),
    { name: 'a whole shot: the longest spacing', value: many.longestMs.spacing, unit: 'ms' },
    { name: 'a whole shot: OpenCV distance, a drawing', value: many.referenceMs / many.drawings, unit: 'ms' },
  ];
}
