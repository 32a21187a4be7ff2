/** The page's hand on the decode workers. */
import { createBridge, type Failure } from '../work/bridge.ts';
import { pagePort } from '../work/page-port.ts';
import type { MakeAnswer, MakeAsk } from './messages.ts';
import { OddFileError } from './source.ts';
import type { ImageMaker } from './types.ts';

/** Longer than any picture under the size limit takes on a slow tablet; then its worker is given up. */
const longestMs = 60_000;

export interface ImageMakerOptions {
  /** Decode beside the page; two fit a tablet's memory with the largest pictures. */
  readonly workers?: number;
  /** Workers hold some 100 MB; after so long with nothing to do they are let go. Left out: when it is closed. */
  readonly idleMs?: number;
}

export function createImageMaker({ workers = 2, idleMs }: ImageMakerOptions = {}): ImageMaker {
  const start = (): Worker =>
    new Worker(new URL('./decode.worker.ts', import.meta.url), { type: 'module', name: 'intake' });
  const bridge = createBridge<MakeAsk, MakeAnswer>({
    size: workers,
    start: () => pagePort(start()),
    longestMs,
    failed,
    ...(idleMs !== undefined && { idleMs }),
  });
  return {
    width: workers,
    async make(file, { pixels = false, signal } = {}) {
      const answer = await bridge.ask({ file, pixels }, { signal, transfer: [file] });
      if ('made' in answer) return answer.made;
      throw new OddFileError(answer.why, answer.todo);
    },
    close: () => bridge.close(),
  };
}

function failed({ how }: Failure): OddFileError {
  return how === 'took too long'
    ? new OddFileError('it took longer than a minute to decode', 'Export it again as PNG.')
    : new OddFileError(
        'the decoder stopped at it',
        'Take it in again on its own; if that fails, export it again as PNG.',
      );
}
