/** Compares two takes, and lays the older one under the newer: beside the page, one job at a time. */
import { inkOf } from '../../line/ink.ts';
import { layOn } from '../../line/lay-on.ts';
import { takeChange } from '../../line/redrawn.ts';
import { answerJobs } from '../../work/answer.ts';
import { workerDesk } from '../../work/worker-desk.ts';
import type { TakesAnswer, TakesAsk } from './messages.ts';

answerJobs<TakesAsk, TakesAnswer>(
  workerDesk(),
  (ask) => {
    if (ask.kind === 'change') return { change: takeChange(inkOf(ask.before), inkOf(ask.after)) };
    const [width, height] = ask.sizePx;
    return { picture: layOn(ask.older, ask.move, { width, height }) };
  },
  (answer) => ('picture' in answer ? [answer.picture.data.buffer as ArrayBuffer] : []),
);
