/** The studio server as the tablet sees it: its API over `fetch`. */
import * as v from 'valibot';
import type { Entry, Person } from '../note/entry.ts';
import { parseEntry } from '../note/parse.ts';
import { checkShot } from '../shot/check-shot.ts';
import type { Shot } from '../shot/model.ts';
import { entriesType, type Posted, pageSchema, postedSchema } from '../wire/entries.ts';
import { contentRange, uploadSchema } from '../wire/images.ts';
import {
  type GivenPass,
  type Me,
  meSchema,
  type NewPass,
  newPassSchema,
  passesSchema,
} from '../wire/people.ts';
import { type OfferedShot, shotsSchema } from '../wire/shots.ts';
import { explain, MissingImages, OtherVersion, piecesOf, readJson, StudioError } from './studio-answers.ts';

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
  /** Undefined when it is not at the studio. */
  shot(id: string): Promise<AtStudio | undefined>;
  /**
   * Rejects with the hashes of pictures the server lacks in `MissingImages`, and with `OtherVersion` when what is
   * there is not what `over` says.
   */
  putShot(shot: Shot, over: Over): Promise<void>;
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

export interface AtStudio {
  readonly shot: Shot;
  /** Absent where something on the way takes it out. */
  readonly version: string | undefined;
}

/** What a shot that is put up replaces: a version, `nothing`, or whatever is there. */
export type Over = { readonly version: string } | 'nothing' | 'anything';

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
    headers: { 'content-type': entriesType },
    body: entries.map((entry) => JSON.stringify(entry)).join('\n'),
  });

  return {
    me: () => json(meSchema, 'me'),
    join: (code, person) => json(meSchema, 'join', sending('POST', { code, person })),
    shots: async () => (await json(shotsSchema, 'shots')).shots,
    async shot(id) {
      const response = await ask(`shots/${encodeURIComponent(id)}`).catch((error: unknown) => {
        if (error instanceof StudioError && error.status === 404 && error.code === 'refused')
          return undefined;
        throw error;
      });
      if (!response) return undefined;
      // A proxy that packs answers marks the tag as weak.
      const version = /^(?:W\/)?"([^"]+)"$/.exec(response.headers.get('etag') ?? '')?.[1];
      const checked = checkShot(await readJson(response));
      if (checked.ok) return { shot: checked.shot, version };
      throw new StudioError('refused', checked.faults[0] ?? 'The server’s shot cannot be read.');
    },
    async putShot(shot, over) {
      const path = `shots/${encodeURIComponent(shot.id)}`;
      const { headers, ...put } = sending('PUT', shot);
      const only = new Headers(headers);
      if (over === 'nothing') only.set('if-none-match', '*');
      else if (over !== 'anything') only.set('if-match', `"${over.version}"`);
      try {
        await ask(path, { ...put, headers: only });
      } catch (error) {
        if (error instanceof StudioError && error.cause instanceof MissingImages) throw error.cause;
        if (error instanceof StudioError && error.status === 412) throw new OtherVersion();
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
      json(uploadSchema, `images/${sha256}/upload`, {
        ...(signal && { signal }),
      }),
    async upload(sha256, file, start, signal) {
      await ask(`images/${sha256}`, {
        method: 'PUT',
        headers: { 'content-range': contentRange(start, file.byteLength) },
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
    passes: async () => (await json(passesSchema, 'passes')).passes,
    makePass: (name, role, personId) =>
      json(newPassSchema, 'passes', sending('POST', { name, role, ...(personId && { personId }) })),
    async revokePass(id) {
      await ask(`passes/${encodeURIComponent(id)}`, { method: 'DELETE' });
    },
  };
}
