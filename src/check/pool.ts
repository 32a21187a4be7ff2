import { SentenceError } from '../error/sentence.ts';
import { type Bridge, createBridge, type Failure, type Port } from '../work/bridge.ts';
import type { Request, Result } from './jobs.ts';

/** Workers that measure. `P` is a picture in whatever form they can open. */
export type Pool<P> = Bridge<Request<P>, Result>;

export const createPool = <P>(size: number, start: () => Port<Request<P>, Result>): Pool<P> =>
  createBridge({ size, start, failed });

/** What a worker says is a sentence already. */
const failed = ({ how, reason }: Failure): Error =>
  new SentenceError(
    how,
    how === 'said' ? reason : 'measuring stopped in the middle of it; open the shot again to try once more',
  );
