/** A worker thread of the command line: decodes the files it is sent and measures them. */
import { parentPort } from 'node:worker_threads';
import type { Request, Result } from '../check/jobs.ts';
import { runJob } from '../check/run-job.ts';
import { decodePicture } from '../intake/node/decode-picture.ts';
import { Workspace } from '../line/workspace.ts';
import { answerJobs } from '../work/answer.ts';

/** One job at a time, so one set of arrays serves the whole shot. */
const workspace = new Workspace();

answerJobs<Request<Uint8Array>, Result>(
  {
    listen: (listener) => void parentPort?.on('message', listener),
    send: (message, transfer) => parentPort?.postMessage(message, [...transfer]),
  },
  (request, breathe) => runJob(request, decodePicture, workspace, breathe),
);
