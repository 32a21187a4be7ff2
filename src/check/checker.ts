import { reasonOf } from '../error/sentence.ts';
import type { ImageRef, Shot } from '../shot/model.ts';
import { inLanes, later } from '../work/lanes.ts';
import { type Job, jobsOf, type Place, type Request, type Result, type Results } from './jobs.ts';
import type { Pool } from './pool.ts';

/** Results by key (image hashes inside): memory, a shelf's values, or both. Losing it costs time only. */
export interface ResultCache {
  get(key: string): Promise<Result | undefined> | Result | undefined;
  set(key: string, result: Result): Promise<void> | void;
}

/** What was measured of a shot, by job key, and what failed, in a sentence each. */
export interface ShotMeasures {
  readonly results: ReadonlyMap<string, Result>;
  readonly failed: ReadonlyMap<string, string>;
}

interface CheckOptions {
  readonly signal: AbortSignal;
  readonly mostGapPx?: number;
  /** The place in hand now; asked whenever a worker is free, so that the nearest drawings come first. */
  readonly near?: () => Place;
  /** Awaited before each job is chosen: measuring waits while the hand flips. */
  readonly ready?: () => Promise<void>;
  readonly onProgress?: (done: number, total: number) => void;
  /** Told of every result as it comes. */
  readonly onResult?: (job: Job, measures: ShotMeasures) => void;
}

export interface Checker {
  /** Measures a whole shot, what is kept already first. Rejects only with the signal's reason. */
  check(shot: Shot, options: CheckOptions): Promise<ShotMeasures>;
}

/** `open` gives a picture in the form the pool's workers take; it may fail with a sentence for one image. */
export function createChecker<P>(options: {
  readonly pool: Pool<P>;
  readonly open: (image: ImageRef, signal: AbortSignal) => Promise<P>;
  readonly cache?: ResultCache;
}): Checker {
  return { check: (shot, checking) => checkShot(shot, checking, options) };
}

async function checkShot<P>(
  shot: Shot,
  { signal, mostGapPx = 24, near, ready, onProgress, onResult }: CheckOptions,
  { pool, open, cache }: Parameters<typeof createChecker<P>>[0],
): Promise<ShotMeasures> {
  const waiting = uniqueByKey(jobsOf(shot, mostGapPx));
  const total = waiting.length;
  const results = new Map<string, Result>();
  const failed = new Map<string, string>();
  const measures: ShotMeasures = { results, failed };
  const settle = (job: Job, result: Result | undefined, reason?: string) => {
    if (result) results.set(job.key, result);
    else failed.set(job.key, reason ?? 'it was not measured');
    onProgress?.(results.size + failed.size, total);
    onResult?.(job, measures);
  };
  for (let k = waiting.length - 1; k >= 0; k--) {
    const kept = await cache?.get(waiting[k]!.key);
    if (kept) settle(waiting.splice(k, 1)[0]!, kept);
    signal.throwIfAborted();
  }

  const next = async () => {
    await ready?.();
    return takeNearest(waiting, near?.(), results, failed) ?? (waiting.length > 0 ? later : undefined);
  };
  const measure = async (job: Job): Promise<void> => {
    try {
      const request = await requestFor(job, results, failed, (image) => open(image, signal), mostGapPx);
      const result = 'refused' in request ? request : await pool.ask(request, { signal });
      await cache?.set(job.key, result);
      settle(job, result);
    } catch (error) {
      signal.throwIfAborted();
      settle(job, undefined, reasonOf(error));
    }
  };
  // One lane more than workers, so that the next picture is read while the others are measured.
  await inLanes(pool.size + 1, next, measure, signal);
  return measures;
}

/** Goes before everything else: the drawing under the hand and its two neighbours, which a flip shows next. */
const nearFirst = 1;

/** Of the jobs that can be done now, the nearest; drawings before what lies between them. */
function takeNearest(
  waiting: Job[],
  near: Place | undefined,
  results: ReadonlyMap<string, Result>,
  failed: ReadonlyMap<string, string>,
): Job | undefined {
  const done = (key: string) => results.has(key) || failed.has(key);
  let best = -1;
  let bestRank = Infinity;
  for (const [k, job] of waiting.entries()) {
    const ready =
      job.kind === 'drawing' || (done(job.from) && done(job.to) && (job.kind === 'boil' || done(job.of)));
    if (!ready) continue;
    const away = near
      ? Math.abs(job.place.drawing - near.drawing) + (job.place.level === near.level ? 0 : 1e4)
      : job.place.level * 1e4 + job.place.drawing;
    const first = job.kind === 'drawing' && near !== undefined && away <= nearFirst;
    const rank = first ? away - 2 * nearFirst : 3 * away + (job.kind === 'drawing' ? 0 : 1);
    if (rank < bestRank) [best, bestRank] = [k, rank];
  }
  return best < 0 ? undefined : waiting.splice(best, 1)[0];
}

async function requestFor<P>(
  job: Job,
  results: ReadonlyMap<string, Result>,
  failed: ReadonlyMap<string, string>,
  open: (image: ImageRef) => Promise<P>,
  mostGapPx: number,
): Promise<Request<P> | { refused: string }> {
  const { key } = job;
  if (job.kind === 'drawing') {
    const clean = await open(job.clean);
    return { kind: 'drawing', key, clean, rough: job.rough && (await open(job.rough)), mostGapPx };
  }
  const keys = job.kind === 'spacing' ? [job.from, job.to, job.of] : [job.from, job.to];
  if (keys.some((key) => failed.has(key))) return { refused: 'one of the drawings could not be measured' };
  const measured = keys.map((key) => results.get(key) as Results['drawing']);
  const [a, b, c] = measured.map(({ samples }) => samples);
  const sizePx = measured.at(-1)!.sizePx;
  if (job.kind === 'boil') return { kind: 'boil', key, a: a!, b: b!, sizePx };
  return { kind: 'spacing', key, a: a!, b: b!, c: c!, sizePx };
}

function uniqueByKey(jobs: readonly Job[]): Job[] {
  return [...new Map(jobs.map((job) => [job.key, job])).values()];
}
