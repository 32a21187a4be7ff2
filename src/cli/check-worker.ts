/** A worker thread of the command line: decodes the files it is sent and measures them. */
import { parentPort } from 'node:worker_threads';
import { answer } from '../check/answer.ts';
import type { ToWorker } from '../check/pool.ts';
import { decodePicture } from '../intake/node/decode-picture.ts';
import { Workspace } from '../line/workspace.ts';

/** One job at a time, so one set of arrays serves the whole shot. */
const workspace = new Workspace();

parentPort?.on('message', (message: ToWorker<Uint8Array>) => {
  void answer(message, decodePicture, workspace).then((reply) => parentPort?.postMessage(reply));
});
