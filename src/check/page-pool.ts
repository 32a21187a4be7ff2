import { pagePort, restingPutAway } from '../work/page-port.ts';
import { createPool, type Pool } from './pool.ts';

/** More workers would take from a tablet the cores and the memory that it flips with. */
const MOST_WORKERS = 2;
/** Above this many pixels a drawing takes a worker some 200 MB while it is measured: one at a time, then. */
const LARGE_PX2 = 4e6;

/** How many workers measure: a core stays with the hand. `cores` as the browser tells it. */
export function pageWorkers(cores: number, [width, height]: readonly [number, number]): number {
  return width * height > LARGE_PX2 ? 1 : Math.max(1, Math.min(MOST_WORKERS, cores - 1));
}

/**
 * The pool on a page. Pictures are named by their hash, and read from the shelf by the worker itself.
 */
export function createPagePool(size: number, start: () => Worker): Pool<string> {
  return restingPutAway(createPool<string>(size, () => pagePort(start())));
}
