/** What the studio server answers, read and checked: values, pieces of a picture, and why a call did not work. */
import * as v from 'valibot';

/**
 * `offline`: no answer; worth trying again. `none`: there is no studio server at this address. `pass`: the
 * server does not know this tablet. `busy`: it asks to wait. `refused`: it answered no, `message` says why.
 */
export type StudioErrorCode = 'offline' | 'none' | 'pass' | 'busy' | 'refused';

export class StudioError extends Error {
  readonly code: StudioErrorCode;
  readonly status: number;
  constructor(code: StudioErrorCode, message: string, status = 0, options?: ErrorOptions) {
    super(message, options);
    this.name = 'StudioError';
    this.code = code;
    this.status = status;
  }
}

const personSchema = v.object({
  id: v.string(),
  name: v.string(),
  role: v.picklist(['artist', 'director', 'assistant']),
});
export const meSchema = v.object({
  server: v.string(),
  needsPass: v.boolean(),
  person: v.nullable(personSchema),
  owner: v.boolean(),
  limits: v.object({ bodyBytes: v.number(), entriesPerBatch: v.number() }),
});
export const offeredSchema = v.object({
  id: v.string(),
  title: v.string(),
  /** Changes with the shot. */
  version: v.string(),
  /** Place of its last entry in the order of arrival. */
  last: v.number(),
  drawings: v.number(),
  clean: v.number(),
  /** Of all its pictures. */
  byteLength: v.number(),
  /** It lies in the server's shots folder: its new drawings come from there alone. */
  inFolder: v.optional(v.boolean(), false),
});
export const pageSchema = v.object({ entries: v.array(v.unknown()), cursor: v.number(), more: v.boolean() });
export const postedSchema = v.object({
  accepted: v.array(v.string()),
  refused: v.array(v.object({ id: v.optional(v.string()), code: v.string(), reason: v.string() })),
});
export const passSchema = v.object({
  id: v.string(),
  name: v.string(),
  role: v.picklist(['artist', 'director', 'assistant']),
  owner: v.boolean(),
  personId: v.optional(v.string()),
  madeMs: v.number(),
  joinedMs: v.optional(v.number()),
  revokedMs: v.optional(v.number()),
});
export const newPassSchema = v.object({
  pass: passSchema,
  code: v.string(),
  /** Where other tablets find the studio, the best address first. */
  urls: v.optional(v.array(v.pipe(v.string(), v.url())), []),
});
const reasonSchema = v.object({ code: v.string(), reason: v.string() });

export type Me = v.InferOutput<typeof meSchema>;
export type OfferedShot = v.InferOutput<typeof offeredSchema>;
export type Posted = v.InferOutput<typeof postedSchema>;
export type GivenPass = v.InferOutput<typeof passSchema>;
export type NewPass = v.InferOutput<typeof newPassSchema>;
/** Someone else changed the shot meanwhile. */
export class OtherVersion extends Error {
  constructor() {
    super('The shot was changed at the studio meanwhile.');
    this.name = 'OtherVersion';
  }
}

export class MissingImages extends Error {
  readonly sha256s: readonly string[];
  constructor(sha256s: readonly string[]) {
    super(`${sha256s.length} pictures must be sent first.`);
    this.name = 'MissingImages';
    this.sha256s = sha256s;
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
        throw new StudioError('offline', 'The picture broke off.', 0, { cause: error });
      });
      if (!result || result.done) return;
      yield result.value;
    }
  } finally {
    done();
  }
}

/** Undefined for what is no JSON: a static host answers any address with its page. */
export async function readJson(response: Response): Promise<unknown> {
  if (!response.headers.get('content-type')?.includes('application/json')) return undefined;
  try {
    return await response.json();
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
  // A picture that arrived changed, or of which the server has less than it said: it is sent again.
  const again = code === 'hash' || code === 'gap';
  if (status === 429 || status >= 500 || again) return new StudioError('busy', reason, status);
  const missing = v.safeParse(v.object({ missing: v.array(v.string()) }), value);
  const cause = code === 'images' && missing.success ? new MissingImages(missing.output.missing) : undefined;
  return new StudioError('refused', reason, status, { cause });
}
