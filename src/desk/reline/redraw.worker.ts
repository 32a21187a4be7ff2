/** Does drawings of this tablet's shelf anew, one at a time, beside the page. */
import { measuringShelf } from '../../shelf/kept-measures.ts';
import { answerJobs } from '../../work/answer.ts';
import { workerDesk } from '../../work/worker-desk.ts';
import type { RedrawAnswer, RedrawAsk } from './messages.ts';
import { redrawing } from './redrawing.ts';

const shelf = measuringShelf();

answerJobs<RedrawAsk, RedrawAnswer>(
  workerDesk(),
  redrawing((sha256) => shelf.file(sha256)),
  (answer) => {
    if ('picture' in answer) return [answer.picture.data.buffer as ArrayBuffer];
    if (!('redrawn' in answer) || !answer.redrawn) return [];
    const { file, thumb, flip } = answer.redrawn;
    return [file, thumb.data.buffer as ArrayBuffer, flip.data.buffer as ArrayBuffer];
  },
);
