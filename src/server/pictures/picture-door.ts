/** Looks at pictures in a thread of its own, one after the other: decoding a scan would hold up everyone else. */
import { open } from 'node:fs/promises';
import type { Worker } from 'node:worker_threads';
import { Refusal } from '../refusal.ts';
import { startThread } from '../thread.ts';

export interface PictureDoor {
  /** Throws a `Refusal` with one sentence for a picture that no tablet can take. */
  check(file: string): Promise<void>;
  close(): Promise<void>;
}

/** What the thread answers. */
export type Looked = { readonly fault: string | undefined } | { readonly failed: string };

/** A decoder that says nothing for so long hangs. The largest picture allowed takes some ten seconds. */
const patienceMs = 60_000;
/** The thread, with its decoders, is given back when nothing comes for so long. */
const idleMs = 10_000;

export function pictureDoor(): PictureDoor {
  let worker: Worker | undefined;
  let idle: NodeJS.Timeout | undefined;
  let last = Promise.resolve();

  const end = async (): Promise<void> => {
    clearTimeout(idle);
    const ending = worker;
    worker = undefined;
    await ending?.terminate();
  };

  const look = async (file: string): Promise<void> => {
    if (await isSmallPng(file)) {
      const { faultOfPicture } = await import('./check-picture.ts');
      const fault = await faultOfPicture(file);
      if (fault !== undefined) throw refused(fault);
      return;
    }
    clearTimeout(idle);
    worker ??= startThread(new URL('picture-worker.ts', import.meta.url));
    const looked = await answerOf(worker, file);
    if (looked === undefined || 'failed' in looked) await end();
    else idle = setTimeout(() => void end(), idleMs).unref();
    if (looked === undefined)
      throw refused('This picture was not taken: it could not be read within a minute. Export it again.');
    if ('failed' in looked) throw new Error(looked.failed);
    if (looked.fault !== undefined) throw refused(looked.fault);
  };

  return {
    check(file) {
      const looking = last.then(() => look(file));
      last = looking.catch(() => undefined);
      return looking;
    },
    close: end,
  };
}

const refused = (sentence: string): Refusal => new Refusal(422, 'picture', sentence);

/** One that is decoded in a few milliseconds: to start a thread for it would cost more. */
async function isSmallPng(file: string): Promise<boolean> {
  const handle = await open(file);
  try {
    const { size } = await handle.stat();
    const head = Buffer.alloc(24);
    await handle.read(head, 0, 24, 0);
    const pixels = head.readUInt32BE(16) * head.readUInt32BE(20);
    return head.toString('latin1', 1, 4) === 'PNG' && size < 500_000 && pixels < 500_000;
  } finally {
    await handle.close();
  }
}

/** Undefined when it hangs. */
function answerOf(worker: Worker, file: string): Promise<Looked | undefined> {
  return new Promise((resolve) => {
    const settle = (looked: Looked | undefined): void => {
      clearTimeout(timer);
      worker.off('message', settle).off('error', broken).off('exit', ended);
      resolve(looked);
    };
    const broken = (error: Error): void =>
      settle({ failed: `A picture could not be looked at: ${error.message}` });
    const ended = (): void => settle({ failed: 'A picture could not be looked at: its thread ended.' });
    const timer = setTimeout(() => settle(undefined), patienceMs);
    worker.on('message', settle).on('error', broken).on('exit', ended);
    worker.postMessage(file);
  });
}
