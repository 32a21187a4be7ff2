import type { Picture } from '../line/picture.ts';
import type { Workspace } from '../line/workspace.ts';
import type { FromWorker, ToWorker } from './pool.ts';
import { runJob } from './run-job.ts';

/** A worker's reply to one message: a failure becomes a sentence, never a dead worker. */
export async function answer<P>(
  { id, request }: ToWorker<P>,
  open: (picture: P) => Promise<Picture> | Picture,
  workspace: Workspace,
): Promise<FromWorker> {
  try {
    return { id, result: await runJob(request, open, workspace) };
  } catch (error) {
    return { id, failed: error instanceof Error ? error.message : String(error) };
  }
}
