/** The thread of `picture-door.ts`. */
import { parentPort } from 'node:worker_threads';
import { faultOfPicture } from './check-picture.ts';
import type { Looked } from './picture-door.ts';

parentPort?.on('message', (file: string) => {
  void faultOfPicture(file)
    .then(
      (fault): Looked => ({ fault }),
      (error: unknown): Looked => ({ failed: `A picture could not be looked at: ${String(error)}` }),
    )
    .then((looked) => parentPort?.postMessage(looked));
});
