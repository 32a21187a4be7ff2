/** The page's hand on the worker that compares takes. */

import { SentenceError } from '../../error/sentence.ts';
import type { Picture } from '../../line/picture.ts';
import type { TakeChange, TakeMove } from '../../line/redrawn.ts';
import { createBridge } from '../../work/bridge.ts';
import { pagePort } from '../../work/page-port.ts';
import type { TakesAnswer, TakesAsk } from './messages.ts';

export interface TakesWorker {
  /** Pixels are handed over: a picture sent is gone from the page. Rejects with a sentence. */
  change(before: Picture, after: Picture): Promise<TakeChange>;
  lay(
    older: Picture,
    move: TakeMove | undefined,
    sizePx: readonly [width: number, height: number],
  ): Promise<Picture>;
}

/** A worker that has nothing to do for so long gives its memory back. */
const idleMs = 10_000;

export function takesWorker(): TakesWorker {
  const bridge = createBridge<TakesAsk, TakesAnswer>({
    size: 1,
    start: () =>
      pagePort(new Worker(new URL('./takes.worker.ts', import.meta.url), { type: 'module', name: 'takes' })),
    failed: () =>
      new SentenceError('stopped', 'Comparing takes stopped; look at the retakes again to try once more.'),
    idleMs,
  });
  const ask = (asked: TakesAsk, pictures: readonly Picture[]): Promise<TakesAnswer> =>
    bridge.ask(asked, {
      transfer: [...new Set(pictures.map(({ data }) => data.buffer as ArrayBuffer))],
    });
  return {
    async change(before, after) {
      const answer = await ask({ kind: 'change', before, after }, [before, after]);
      if (!('change' in answer)) throw new TypeError('The worker answered something else.');
      return answer.change;
    },
    async lay(older, move, sizePx) {
      const answer = await ask({ kind: 'lay', older, move, sizePx }, [older]);
      if (!('picture' in answer)) throw new TypeError('The worker answered something else.');
      return answer.picture;
    },
  };
}
