/**
 * Every request that is not answered yet, and every open stream: how many there may be, and how those of a
 * revoked pass end at once.
 */
import type { IncomingMessage, ServerResponse } from 'node:http';
import { stopBody } from './body.ts';
import type { Limits } from './limits.ts';
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
}

type Counted = Pick<Opened, 'address' | 'passId'>;

export function openRequests(limits: Limits): OpenRequests {
  const open = new Map<ServerResponse, Opened>();
  /** In order of their opening. */
  const streams = new Map<ServerResponse, Opened>();

  return {
    enter(opened) {
      const { response } = opened;
      check(opened, open.values(), {
        inAll: limits.requestsInAll,
        perAddress: limits.requestsPerAddress,
        perPass: limits.requestsPerPass,
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
      const own = [...streams.values()].filter(
        ({ passId }) => passId !== undefined && passId === opened.passId,
      );
      for (const { response: old } of own.slice(0, Math.max(0, own.length + 1 - limits.streamsPerPass))) {
        streams.delete(old);
        old.end();
      }
      check(opened, streams.values(), {
        inAll: limits.streamsInAll,
        perAddress: limits.streamsPerAddress,
        perPass: Number.POSITIVE_INFINITY,
      });
      // No longer a request that waits for its answer.
      open.delete(response);
      streams.set(response, opened);
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
  };
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
