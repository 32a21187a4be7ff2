/** Measures the open shot in the background, nearest drawings first, while the hand rests and nobody stopped it. */
import { computed, effect, type ReadonlySignal, signal } from '@preact/signals';
import { createChecker, type ResultCache, type ShotMeasures } from '../../check/checker.ts';
import { type Job, jobsOf, type Place, type Result } from '../../check/jobs.ts';
import { createPagePool, pageWorkers } from '../../check/page-pool.ts';
import type { Pool } from '../../check/pool.ts';
import { sentenceOf } from '../../error/sentence.ts';
import type { Shot } from '../../shot/model.ts';
import { createBridge } from '../../work/bridge.ts';
import { pagePort, restingPutAway } from '../../work/page-port.ts';
import type { Session } from '../session.ts';
import type { HandRest } from './hand-rest.ts';

interface Progress {
  /** Drawings of which everything is measured, and all that have a clean-up. */
  readonly done: number;
  readonly total: number;
}

export interface Measuring {
  /** A new object whenever there is more; undefined until the first. */
  readonly measures: ReadonlySignal<ShotMeasures | undefined>;
  readonly progress: ReadonlySignal<Progress>;
  /** Why measuring stands still altogether: one sentence. */
  readonly trouble: ReadonlySignal<string>;
  /**
   * Measures a shot that is not the one on the desk, such as one with an older take as its newest. Read in a computed,
   * it is asked for again when the widest gap changes.
   */
  also(shot: Shot): ReadonlySignal<ShotMeasures | undefined>;
  close(): void;
}

/** Results are shown together: each showing goes through the findings of the whole shot. */
const showEveryMs = 600;

export function startMeasuring(
  session: Session,
  rest: HandRest,
  startWorker: () => Worker,
  mostGapPx: ReadonlySignal<number>,
  stopped: ReadonlySignal<boolean>,
): Measuring {
  const { clock } = session;
  const known = new Map<string, Result>();
  const cache: ResultCache = {
    get: (key) => known.get(key),
    set: (key, result) => void known.set(key, result),
  };
  const measures = signal<ShotMeasures | undefined>(undefined);
  const progress = signal<Progress>({ done: 0, total: 0 });
  const trouble = signal('');
  const closing = new AbortController();
  let pool: Pool<string> | undefined;
  const checker = () => {
    if (!pool) {
      pool = createPagePool(
        pageWorkers(navigator.hardwareConcurrency || 2, session.shot.peek().sizePx),
        startWorker,
      );
      if (!going.peek()) pool.pause();
    }
    return createChecker({ pool, open: async ({ sha256 }) => sha256, cache });
  };

  /** What is under way stops with the hand's first touch, too, not only what is to come. */
  const going = computed(() => rest.resting.value && !stopped.value);
  let waiting: (() => void)[] = [];
  const stopPausing = effect(() => {
    if (!going.value) return pool?.pause();
    pool?.resume();
    for (const go of waiting.splice(0)) go();
  });
  const whenGoing = (): Promise<void> =>
    going.peek() || closing.signal.aborted ? Promise.resolve() : new Promise((go) => waiting.push(go));

  const near = (): Place => {
    const { levels } = session.shot.peek();
    const { level: name, drawing } = session.model.peek();
    const level = Math.max(
      0,
      levels.findIndex((each) => each.name === name),
    );
    const index = levels[level]?.drawings.findIndex(({ label }) => label === drawing) ?? 0;
    return { level, drawing: Math.max(0, index) };
  };

  let stopShowing: (() => void) | undefined;
  function show(all: ShotMeasures): void {
    stopShowing?.();
    stopShowing = undefined;
    measures.value = { results: new Map(all.results), failed: new Map(all.failed) };
  }
  /** The drawing in hand at once, others soon; and nothing under a moving hand. */
  function showSoon(all: ShotMeasures, { place, kind }: Job): void {
    const { level, drawing } = near();
    const inHand = kind === 'drawing' && place.level === level && place.drawing === drawing;
    if (inHand && rest.resting.peek()) return show(all);
    stopShowing ??= clock.after(showEveryMs, () => {
      stopShowing = undefined;
      void rest.rested().then(() => {
        if (!closing.signal.aborted) show(all);
      });
    });
  }

  /** What measuring depends on: an edit that changes none of it starts nothing anew. */
  const wanted = computed(() => {
    const shot = session.shot.value;
    const gapPx = mostGapPx.value;
    return {
      shot,
      gapPx,
      keys: keysOf(jobsOf(shot, gapPx)),
    };
  });
  const keys = computed(() => wanted.value.keys);
  let running = new AbortController();

  async function run(): Promise<void> {
    running.abort();
    stopShowing?.();
    stopShowing = undefined;
    running = new AbortController();
    trouble.value = '';
    const { signal: aborted } = running;
    const { shot, gapPx } = wanted.peek();
    const jobs = jobsOf(shot, gapPx);
    forgetAllBut(jobs);
    const count = counter(jobs);
    progress.value = count.progress();
    try {
      const all = await checker().check(shot, {
        signal: aborted,
        mostGapPx: gapPx,
        near,
        ready: whenGoing,
        onResult: (job, soFar) => {
          if (aborted.aborted) return;
          count.settle(job);
          progress.value = count.progress();
          showSoon(soFar, job);
        },
      });
      await rest.rested();
      if (aborted.aborted) return;
      show(all);
      if (!swept) sweep();
    } catch (error) {
      if (!aborted.aborted) trouble.value = sentenceOf(error);
    }
  }

  /** Of the shot that is not on the desk: asked for at every entry, and mostly the same. */
  let other: { readonly keys: string; readonly found: ReadonlySignal<ShotMeasures | undefined> } | undefined;

  /** What nothing asks for any more (another gap, an older take) is on the shelf; here it would only take room. */
  function forgetAllBut(jobs: readonly Job[]): void {
    const asked = new Set([...jobs.map(({ key }) => key), ...(other?.keys.split('\n') ?? [])]);
    for (const key of known.keys()) if (!asked.has(key)) known.delete(key);
  }

  let swept = false;
  function sweep(): void {
    swept = true;
    const worker = restingPutAway(
      createBridge<{ readonly kind: 'sweep' }, undefined>({ size: 1, start: () => pagePort(startWorker()) }),
    );
    const end = (): void => worker.close();
    closing.signal.addEventListener('abort', end);
    // What could not be swept, or was left too early, is swept at the next visit.
    worker.ask({ kind: 'sweep' }).then(end, end);
  }

  const stop = effect(() => {
    void keys.value;
    void run();
  });

  return {
    measures,
    progress,
    trouble,
    also(shot) {
      const gapPx = mostGapPx.value;
      const keys = keysOf(jobsOf(shot, gapPx));
      if (other?.keys === keys) return other.found;
      const found = signal<ShotMeasures | undefined>(undefined);
      other = { keys, found };
      checker()
        .check(shot, { signal: closing.signal, mostGapPx: gapPx, ready: whenGoing })
        .then(
          (all) => {
            found.value = all;
          },
          () => undefined,
        );
      return found;
    },
    close() {
      stop();
      stopPausing();
      stopShowing?.();
      running.abort();
      closing.abort();
      // They find their own end by their signal.
      for (const go of waiting) go();
      waiting = [];
      pool?.close();
    },
  };
}

const keysOf = (jobs: readonly Job[]): string => jobs.map(({ key }) => key).join('\n');

/** Counts drawings, not jobs: that is what an artist asks for. Equal drawings share their jobs. */
function counter(jobs: readonly Job[]) {
  const placeOf = ({ place: { level, drawing } }: Job): string => `${level}/${drawing}`;
  const total = new Set(jobs.map(placeOf)).size;
  const left = new Map<string, number>();
  for (const job of new Map(jobs.map((each) => [each.key, each])).values())
    left.set(placeOf(job), (left.get(placeOf(job)) ?? 0) + 1);
  return {
    settle(job: Job): void {
      const place = placeOf(job);
      const rest = (left.get(place) ?? 1) - 1;
      if (rest > 0) left.set(place, rest);
      else left.delete(place);
    },
    progress: (): Progress => ({ done: total - left.size, total }),
  };
}
