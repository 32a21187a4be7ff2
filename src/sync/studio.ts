/** The studio server as the tablet sees it: its API over `fetch`. */
import * as v from 'valibot';
import type { Entry, Person } from '../note/entry.ts';
import { parseEntry } from '../note/parse.ts';
import type { Unread } from '../shelf/types.ts';
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
import { explain, piecesOf, readJson, StudioError } from './studio-answers.ts';

export interface EntryPage {
  readonly entries: readonly Entry[];
  /** The server's seals, by id. */
  readonly seals: ReadonlyMap<string, string>;
  /** What this version cannot read of them. */
  readonly unread: readonly Unread[];
  /** Id of the last entry, read or not. */
  readonly lastId: string | undefined;
  /** Id of the entry at the place asked from, as this server has it. */
  readonly at: string | undefined;
  readonly cursor: number;
  readonly more: boolean;
}

export interface Picture {
  readonly from: number;
  readonly pieces: AsyncIterable<Uint8Array<ArrayBuffer>>;
}

export interface Studio {
  me(): Promise<Me>;
  /** `ownId`: under which this tablet wrote so far. */
  join(code: string, ownId: string | undefined): Promise<Me>;
  shots(): Promise<OfferedShot[]>;
  entriesAfter(shotId: string, cursor: number): Promise<EntryPage>;
  /** A line an entry. */
  post(lines: readonly string[]): Promise<Posted>;
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
  /** `heard` is called for each piece of an answer and puts the limit off: silence is limited, not length. */
  const follow = async (
    path: string,
    init: RequestInit = {},
  ): Promise<{ response: Response; heard: () => void; done: () => void }> => {
    const { body } = init;
    const sent = body instanceof ArrayBuffer ? body.byteLength : typeof body === 'string' ? body.length : 0;
    const limit = new AbortController();
    let timer: ReturnType<typeof setTimeout> | undefined;
    const done = (): void => clearTimeout(timer);
    const within = (ms: number): void => {
      done();
      timer = setTimeout(() => limit.abort(), ms);
    };
    const heard = (): void => within(silence);
    within(silence + Math.ceil(sent / slowestBytesPerMs));
    try {
      return { response: await send(path, init, limit.signal), heard, done };
    } catch (error) {
      done();
      throw error;
    }
  };
  const ask = async (path: string, init?: RequestInit): Promise<unknown> => {
    const { response, heard, done } = await follow(path, init);
    return readJson(response, heard, done);
  };
  const json = async <T extends v.GenericSchema>(schema: T, path: string, init?: RequestInit) => {
    const value = await ask(path, init);
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
  const inLines = (lines: readonly string[]): RequestInit => ({
    method: 'POST',
    headers: { 'content-type': entriesType },
    body: lines.join('\n'),
  });

  return {
    me: () => json(meSchema, 'me'),
    join: (code, person) => json(meSchema, 'join', sending('POST', { code, ...(person && { person }) })),
    shots: async () => (await json(shotsSchema, 'shots')).shots,
    async entriesAfter(shotId, cursor) {
      const query = new URLSearchParams({ shot: shotId, after: String(cursor) });
      const { entries: sent, seals, at, ...page } = await json(pageSchema, `entries?${query}`);
      const parsed = sent.map(parseEntry);
      const idOf = (n: number): string | undefined => {
        const one = parsed[n];
        return one?.ok ? one.entry.id : one?.id;
      };
      return {
        ...page,
        entries: parsed.flatMap((one) => (one.ok ? [one.entry] : [])),
        seals: new Map(seals.map((seal, n) => [idOf(n) ?? '', seal])),
        unread: sent.flatMap((value, n) =>
          parsed[n]?.ok ? [] : [{ id: idOf(n) ?? '', value, seal: seals[n] }],
        ),
        lastId: idOf(sent.length - 1),
        at: at ?? undefined,
      };
    },
    post: (lines) => json(postedSchema, 'entries', inLines(lines)),
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
