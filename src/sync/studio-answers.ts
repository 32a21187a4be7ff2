/** What the studio server answers, read and checked: values, pieces of a picture, and why a call did not work. */
import * as v from 'valibot';
import { SentenceError } from '../error/sentence.ts';
import { againCodes, reasonSchema } from '../wire/refusals.ts';

/**
 * `offline`: no answer; worth trying again. `none`: there is no studio server at this address. `pass`: the
 * server does not know this tablet. `busy`: it asks to wait. `refused`: it answered no, `message` says why.
 */
export type StudioErrorCode = 'offline' | 'none' | 'pass' | 'busy' | 'refused';

export class StudioError extends SentenceError {
  declare readonly code: StudioErrorCode;
  readonly status: number;
  constructor(code: StudioErrorCode, message: string, status = 0, options?: ErrorOptions) {
    super(code, message, options);
    this.name = 'StudioError';
    this.status = status;
  }
}

/** By hand: not every browser can iterate over a stream. */
export async function* piecesOf(
  response: Response,
  heard: () => void,
  done: () => void,
): AsyncGenerator<Uint8Array<ArrayBuffer>> {
  const reader = response.body?.getReader();
  try {
    for (;;) {
      heard();
      const result = await reader?.read().catch((error: unknown) => {
        throw new StudioError('offline', 'The answer of the studio server broke off.', 0, { cause: error });
      });
      if (!result || result.done) return;
      yield result.value;
    }
  } finally {
    done();
  }
}

/** Undefined for what is no JSON: a static host answers any address with its page. */
export async function readJson(
  response: Response,
  heard = (): void => undefined,
  done = (): void => undefined,
): Promise<unknown> {
  const isJson = response.headers.get('content-type')?.includes('application/json');
  const pieces: Uint8Array<ArrayBuffer>[] = [];
  for await (const piece of piecesOf(response, heard, done)) pieces.push(piece);
  if (!isJson) return undefined;
  try {
    return JSON.parse(await new Blob(pieces).text());
  } catch (error) {
    throw new StudioError('offline', 'The answer of the studio server broke off.', 0, { cause: error });
  }
}

export async function explain(response: Response): Promise<StudioError> {
  const { status } = response;
  const value = await readJson(response).catch(() => undefined);
  const answer = v.safeParse(reasonSchema, value);
  if (!answer.success) {
    // Our server explains itself: this is a static host, or a proxy whose server is down.
    return status >= 500
      ? new StudioError('offline', 'The studio server does not answer at the moment.', status)
      : new StudioError('none', 'There is no studio server at this address.', status);
  }
  const { reason, code } = answer.output;
  if (status === 401) return new StudioError('pass', reason, status);
  if (status === 429 || status >= 500 || againCodes.has(code)) return new StudioError('busy', reason, status);
  return new StudioError('refused', reason, status);
}
