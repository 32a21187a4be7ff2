/** The page's hand on the workers that do drawings anew. */
import { SentenceError } from '../../error/sentence.ts';
import { type Bridge, createBridge } from '../../work/bridge.ts';
import { pagePort, restingPutAway } from '../../work/page-port.ts';
import type { RedrawAnswer, RedrawAsk } from './messages.ts';

/** A worker that has nothing to do for so long gives its memory back: some 150 MB at 4K. */
const idleMs = 10_000;

export const redrawBridge = (size: number): Bridge<RedrawAsk, RedrawAnswer> =>
  restingPutAway(
    createBridge<RedrawAsk, RedrawAnswer>({
      size,
      start: () =>
        pagePort(
          new Worker(new URL('./redraw.worker.ts', import.meta.url), { type: 'module', name: 'redraw' }),
        ),
      failed: ({ how, reason }) =>
        new SentenceError(
          'stopped',
          how === 'said'
            ? `The drawing could not be done anew: ${reason}. It is as it was.`
            : 'Doing a drawing anew stopped; it is as it was. Close other tabs and try once more.',
        ),
      idleMs,
    }),
  );
