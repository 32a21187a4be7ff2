/** The studio server as the tablet sees it: its API over `fetch`, and why a call did not work. */
import * as v from 'valibot';
import type { Entry, Person } from '../note/entry.ts';
import { parseEntry } from '../note/parse.ts';
import { checkShot } from '../shot/check-shot.ts';
import type { Shot } from '../shot/model.ts';

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
const meSchema = v.object({
  server: v.string(),
  needsPass: v.boolean(),
  person: v.nullable(personSchema),
  owner: v.boolean(),
  limits: v.object({ bodyBytes: v.number(), entriesPerBatch: v.number() }),
});
const offeredSchema = v.object({
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
const pageSchema = v.object({ entries: v.array(v.unknown()), cursor: v.number(), more: v.boolean() });
const postedSchema = v.object({
  accepted: v.array(v.string()),
  refused: v.array(v.object({ id: v.optional(v.string()), code: v.string(), reason: v.string() })),
});
const passSchema = v.object({
  id: v.string(),
  name: v.string(),
  role: v.picklist(['artist', 'director', 'assistant']),
  owner: v.boolean(),
  personId: v.optional(v.string()),
  madeMs: v.number(),
  joinedMs: v.optional(v.number()),
  revokedMs: v.optional(v.number()),
});
const newPassSchema = v.object({
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
export interface EntryPage {
  readonly entries: readonly Entry[];
  readonly cursor: number;
  readonly more: boolean;
}

export interface Picture {
  readonly from: number;
  readonly pieces: AsyncIterable<Uint8Array<ArrayBuffer>>;
}

export interface Studio {
  me(): Promise<Me>;
  join(code: string, ownId: string): Promise<Me>;
  shots(): Promise<OfferedShot[]>;
  shot(id: string): Promise<Shot>;
  /** Rejects with the hashes of pictures the server lacks in `MissingImages`. */
  putShot(shot: Shot): Promise<void>;
  entriesAfter(shotId: string, cursor: number): Promise<EntryPage>;
  post(entries: readonly Entry[]): Promise<Posted>;
  /** The picture's bytes from `start` on, or all of them (`from` says which). `pieces` rejects when they break off. */
  image(sha256: string, start: number, signal?: AbortSignal): Promise<Picture>;
  /** How much of an upload is there. */
  uploaded(sha256: string, signal?: AbortSignal): Promise<{ whole: boolean; received: number }>;
  /** Sends bytes `start` to the end of `file`; resolves once the server has them. */
  upload(sha256: string, file: ArrayBuffer, start: number, signal?: AbortSignal): Promise<void>;
  live(signal: AbortSignal): Promise<Response>;
  passes(): Promise<GivenPass[]>;
  /** `personId`: of someone who came in already and gets another tablet. */
  makePass(name: string, role: Person['role'], personId?: string): Promise<NewPass>;
  revokePass(id: string): Promise<void>;
}

export class MissingImages extends Error {
  readonly sha256s: readonly string[];
  constructor(sha256s: readonly string[]) {
    super(`${sha256s.length} pictures must be sent first.`);
    this.name = 'MissingImages';
    this.sha256s = sha256s;
  }
}

export type Fetch = (input: URL, init?: RequestInit) => Promise<Response>;

/**
 * How long nothing may be heard. Without a limit a request whose network died in the middle hangs for as long
 * as the system keeps its connection, and every later round waits behind it.
 */
const silenceMs = 30_000;
/** What is sent takes its time: the weakest link worth waiting for. */
const slowestBytesPerMs = 16;

/** `base` is the app's own address: the API lies beside it. `silence` in milliseconds. */
export function studioAt(base: URL, fetch: Fetch, silence = silenceMs): Studio {
  const send = async (path: string, init: RequestInit, limit: AbortSignal): Promise<Response> => {
    let response: Response;
    try {
      response = await fetch(new URL(`api/${path}`, base), {
        credentials: 'same-origin',
        ...init,
        signal: init.signal ? AbortSignal.any([init.signal, limit]) : limit,
      });
    } catch (error) {
      if (init.signal?.aborted) throw error;
      throw new StudioError('offline', 'The studio server cannot be reached.', 0, { cause: error });
    }
    if (!response.ok) throw await explain(response);
    return response;
  };
  /** For answers of a few kilobytes: head and body within the limit. */
  const ask = (path: string, init: RequestInit = {}): Promise<Response> => {
    const { body } = init;
    const sent = body instanceof ArrayBuffer ? body.byteLength : typeof body === 'string' ? body.length : 0;
    return send(path, init, AbortSignal.timeout(silence + Math.ceil(sent / slowestBytesPerMs)));
  };
  /** For answers that go on: `heard` is called for each piece, and puts the limit off. */
  const follow = async (
    path: string,
    init: RequestInit,
  ): Promise<{ response: Response; heard: () => void; done: () => void }> => {
    const limit = new AbortController();
    let timer: ReturnType<typeof setTimeout> | undefined;
    const done = (): void => clearTimeout(timer);
    const heard = (): void => {
      done();
      timer = setTimeout(() => limit.abort(), silence);
    };
    heard();
    try {
      return { response: await send(path, init, limit.signal), heard, done };
    } catch (error) {
      done();
      throw error;
    }
  };
  const json = async <T extends v.GenericSchema>(schema: T, path: string, init?: RequestInit) => {
    const value = await readJson(await ask(path, init));
    const result = v.safeParse(schema, value);
    if (!result.success) throw new StudioError('none', 'What answers at this address is no studio server.');
    return result.output;
  };
  const sending = (method: string, value: unknown): RequestInit => ({
    method,
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(value),
  });
  /** One a line, so that the server keeps each word for word. */
  const inLines = (entries: readonly Entry[]): RequestInit => ({
    method: 'POST',
    headers: { 'content-type': 'application/x-ndjson' },
    body: entries.map((entry) => JSON.stringify(entry)).join('\n'),
  });

  return {
    me: () => json(meSchema, 'me'),
    join: (code, person) => json(meSchema, 'join', sending('POST', { code, person })),
    shots: async () => (await json(v.object({ shots: v.array(offeredSchema) }), 'shots')).shots,
    async shot(id) {
      const checked = checkShot(await readJson(await ask(`shots/${encodeURIComponent(id)}`)));
      if (checked.ok) return checked.shot;
      throw new StudioError('refused', checked.faults[0] ?? 'The server’s shot cannot be read.');
    },
    async putShot(shot) {
      const path = `shots/${encodeURIComponent(shot.id)}`;
      try {
        await ask(path, sending('PUT', shot));
      } catch (error) {
        if (error instanceof StudioError && error.cause instanceof MissingImages) throw error.cause;
        throw error;
      }
    },
    async entriesAfter(shotId, cursor) {
      const query = new URLSearchParams({ shot: shotId, after: String(cursor) });
      const page = await json(pageSchema, `entries?${query}`);
      const entries = page.entries.map(parseEntry).flatMap((parsed) => (parsed.ok ? [parsed.entry] : []));
      return { ...page, entries };
    },
    post: (entries) => json(postedSchema, 'entries', inLines(entries)),
    async image(sha256, start, signal) {
      const { response, heard, done } = await follow(`images/${sha256}`, {
        // The shelf keeps it. The browser's own cache would keep it twice, and hand out one that arrived
        // changed again and again.
        cache: 'no-store',
        ...(start > 0 && { headers: { range: `bytes=${start}-` } }),
        ...(signal && { signal }),
      });
      // A server or proxy that knows no ranges begins again.
      return { from: response.status === 206 ? start : 0, pieces: piecesOf(response, heard, done) };
    },
    uploaded: (sha256, signal) =>
      json(v.object({ whole: v.boolean(), received: v.number() }), `images/${sha256}/upload`, {
        ...(signal && { signal }),
      }),
    async upload(sha256, file, start, signal) {
      await ask(`images/${sha256}`, {
        method: 'PUT',
        headers: { 'content-range': `bytes ${start}-${file.byteLength - 1}/${file.byteLength}` },
        body: file.slice(start),
        ...(signal && { signal }),
      });
    },
    async live(signal) {
      const { response, done } = await follow('live', { signal, cache: 'no-store' });
      // Whoever listens knows how often it must be heard.
      done();
      return response;
    },
    passes: async () => (await json(v.object({ passes: v.array(passSchema) }), 'passes')).passes,
    makePass: (name, role, personId) =>
      json(newPassSchema, 'passes', sending('POST', { name, role, ...(personId && { personId }) })),
    async revokePass(id) {
      await ask(`passes/${encodeURIComponent(id)}`, { method: 'DELETE' });
    },
  };
}

/** By hand: not every browser can iterate over a stream. */
async function* piecesOf(
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
async function readJson(response: Response): Promise<unknown> {
  if (!response.headers.get('content-type')?.includes('application/json')) return undefined;
  try {
    return await response.json();
  } catch (error) {
    throw new StudioError('offline', 'The answer of the studio server broke off.', 0, { cause: error });
  }
}

async function explain(response: Response): Promise<StudioError> {
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
