/** The page's worker: measures what it is sent, one job at a time. Pictures come as pixels, transferred. */
import type { Picture } from '../line/picture.ts';
import { Workspace } from '../line/workspace.ts';
import { answer } from './answer.ts';
import type { ToWorker } from './pool.ts';

/** One job at a time, so one set of arrays serves the whole shot. */
const workspace = new Workspace();

self.addEventListener('message', (event: MessageEvent<ToWorker<Picture>>) => {
  void answer(event.data, (picture) => picture, workspace).then((message) => self.postMessage(message));
});
