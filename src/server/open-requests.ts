/**
 * Every request that is not answered yet, and every open stream: how many there may be, and how those of a
 * revoked pass end at once. What a pass and an address have open counts over all servers of a house, as far as the
 * others told of it (a second ago, or two); what is open in all is each server's own, because it is its memory.
 */
import type { IncomingMessage, ServerResponse } from 'node:http';
import { stopBody } from './body.ts';
import type { Limits } from './limits.ts';
import { openElsewhere, type ToldOpen } from './open-elsewhere.ts';
import { noPass, Refusal } from './refusal.ts';

/** One request that is open. */
export interface Opened {
  readonly request: IncomingMessage;
  readonly response: ServerResponse;
  readonly address: string;
  readonly passId: string | undefined;
}

export interface OpenRequests {
  /** Counts it until its answer is out or its connection gone. Throws a `Refusal` when there are too many. */
  enter(opened: Opened): void;
  /**
   * One that was entered stays open as a stream. Throws a `Refusal` when there are too many; of one pass the
   * oldest gives way, since it may be the lost connection of the tablet that comes back.
   */
  becomeStream(response: ServerResponse): void;
  /** Ends what passes have open that may not stay: streams, downloads, and bodies under way. */
  endUnless(mayStay: (passId: string) => boolean): void;
  /** Ids of the passes that have something open. */
  passIds(): ReadonlySet<string>;
  /** How many are open here. */
  readonly counts: { readonly requests: number; readonly streams: number };
  /** What is open here, for the other servers of the house. */
  tell(): string;
  /** What each of them told. Streams that are too many of a pass over all servers end where the oldest are. */
  hear(told: readonly string[]): void;
}

type Counted = Pick<Opened, 'address' | 'passId'>;

export function openRequests(limits: Limits): OpenRequests {
  const open = new Map<ServerResponse, Opened>();
  /** In order of their opening. */
  const streams = new Map<ServerResponse, Opened & { readonly sinceMs: number }>();
  const elsewhere = openElsewhere();

  /** Ends the oldest of a pass, as far as they are here, until `more` of them may be opened. */
  const giveWay = (pass: string, more: number): void => {
    const own = [...streams.values()].filter(({ passId }) => passId === pass);
    const all = [
      ...own.map(({ sinceMs, response }) => ({ sinceMs, response })),
      ...elsewhere.streamTimes(pass).map((sinceMs) => ({ sinceMs, response: undefined })),
    ].sort((a, b) => a.sinceMs - b.sinceMs);
    for (const { response } of all.slice(0, Math.max(0, all.length + more - limits.streamsPerPass))) {
      if (!response) continue;
      streams.delete(response);
      response.end();
    }
  };

  return {
    enter(opened) {
      const { response, address, passId } = opened;
      check(opened, open.values(), {
        inAll: limits.requestsInAll,
        perAddress: limits.requestsPerAddress - elsewhere.count('requestsOfAddress', address),
        perPass: limits.requestsPerPass - elsewhere.count('requestsOfPass', passId),
      });
      open.set(response, opened);
      response.on('close', () => {
        open.delete(response);
        streams.delete(response);
      });
    },
    becomeStream(response) {
      const opened = open.get(response);
      if (!opened) return;
      const { passId, address } = opened;
      if (passId !== undefined) giveWay(passId, 1);
      check(opened, streams.values(), {
        inAll: limits.streamsInAll,
        perAddress: limits.streamsPerAddress - elsewhere.count('streamsOfAddress', address),
        perPass: Number.POSITIVE_INFINITY,
      });
      // No longer a request that waits for its answer.
      open.delete(response);
      streams.set(response, { ...opened, sinceMs: Date.now() });
    },
    endUnless(mayStay) {
      for (const { request, response, passId } of [...open.values(), ...streams.values()]) {
        if (passId === undefined || mayStay(passId)) continue;
        if (streams.delete(response)) response.end();
        else if (!request.complete) stopBody(request, noPass());
        else if (response.headersSent) response.destroy();
      }
    },
    passIds: () =>
      new Set([...open.values(), ...streams.values()].flatMap(({ passId }) => (passId ? [passId] : []))),
    get counts() {
      return { requests: open.size, streams: streams.size };
    },
    tell() {
      const streamsOfPass: Record<string, number[]> = {};
      for (const { passId, sinceMs } of streams.values())
        if (passId !== undefined) (streamsOfPass[passId] ??= []).push(sinceMs);
      const told: ToldOpen = {
        requestsOfPass: counted(open.values(), 'passId', limits.requestsPerPass / 8),
        requestsOfAddress: counted(open.values(), 'address', limits.requestsPerAddress / 8),
        streamsOfPass,
        streamsOfAddress: counted(streams.values(), 'address', 1),
      };
      return JSON.stringify(told);
    },
    hear(told) {
      elsewhere.hear(told);
      const passes = new Set([...streams.values()].flatMap(({ passId }) => (passId ? [passId] : [])));
      for (const passId of passes) giveWay(passId, 0);
    },
  };
}

/** How many of each key there are, where they are so many at least. */
function counted(all: Iterable<Counted>, key: keyof Counted, least: number): Record<string, number> {
  const counts = new Map<string, number>();
  for (const { [key]: of } of all) if (of !== undefined) counts.set(of, (counts.get(of) ?? 0) + 1);
  return Object.fromEntries([...counts].filter(([, count]) => count >= least));
}

interface Most {
  readonly inAll: number;
  readonly perAddress: number;
  readonly perPass: number;
}

function check(one: Counted, others: Iterable<Counted>, most: Most): void {
  let [inAll, ofAddress, ofPass] = [0, 0, 0];
  for (const { address, passId } of others) {
    inAll++;
    if (address === one.address) ofAddress++;
    if (passId !== undefined && passId === one.passId) ofPass++;
  }
  if (ofPass >= most.perPass)
    throw full(429, 'This tablet has as much open at the studio server as one may. It is tried again soon.');
  if (ofAddress >= most.perAddress)
    throw full(
      429,
      'So much is open from this address that the studio server takes no more. It is tried again soon.',
    );
  if (inAll >= most.inAll)
    throw full(
      503,
      'So many tablets use the studio server now that it takes no more. It is tried again soon.',
    );
}

function full(status: number, sentence: string): Refusal {
  return new Refusal(status, 'open', sentence, { 'retry-after': '10' });
}
