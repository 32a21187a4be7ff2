/**
 * What a supervisor or a proxy asks: `/healthz`, does the process answer; `/readyz`, may tablets be sent to it. Open to
 * all, by any name and without a pass, and silent about who and what is here.
 */
import { access, constants, statfs } from 'node:fs/promises';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { join } from 'node:path';
import { sendJson } from './exchange.ts';
import { Refusal } from './refusal.ts';
import type { StudioStore } from './store/types.ts';

export interface HealthNeeds {
  readonly store: Pick<StudioStore, 'fault'>;
  /** The data folder. */
  readonly data: string;
  /** The folder of the built app. */
  readonly app: string;
  readonly stopping: () => boolean;
}

export interface Health {
  /** Undefined for any other path. */
  answer(request: IncomingMessage, response: ServerResponse, path: string): Promise<void> | undefined;
}

/** Without so much on the disk no note can be stored for long. */
const leastFreeBytes = 10e6;
/** Whoever asks more often is told the same. */
const freshMs = 1000;

export function health(needs: HealthNeeds): Health {
  let known: { readonly atMs: number; readonly fault: Promise<string | undefined> } | undefined;
  const fault = (): Promise<string | undefined> => {
    if (needs.stopping()) return Promise.resolve('The studio server is being stopped.');
    const nowMs = performance.now();
    if (!known || nowMs - known.atMs > freshMs) known = { atMs: nowMs, fault: look(needs) };
    return known.fault;
  };
  return {
    answer(request, response, path) {
      if (path !== '/healthz' && path !== '/readyz') return undefined;
      if (request.method !== 'GET' && request.method !== 'HEAD')
        throw new Refusal(405, 'method', 'Only GET works here.', { allow: 'GET, HEAD' });
      if (path === '/healthz') {
        sendJson(response, 200, { alive: true });
        return Promise.resolve();
      }
      return fault().then((reason) => {
        if (reason === undefined) sendJson(response, 200, { ready: true });
        else sendJson(response, 503, { ready: false, reason }, { 'retry-after': '10' });
      });
    },
  };
}

/** What keeps the server from taking notes and giving out the app, a sentence. */
async function look({ store, data, app }: HealthNeeds): Promise<string | undefined> {
  const fault = await store.fault();
  if (fault !== undefined) return fault;
  const writable = await access(data, constants.W_OK).then(
    () => true,
    () => false,
  );
  if (!writable) return 'The data folder cannot be written.';
  const { bavail, bsize } = await statfs(data);
  if (bavail * bsize < leastFreeBytes) return 'The disk is full.';
  const built = await access(join(app, 'headers.json')).then(
    () => true,
    () => false,
  );
  return built ? undefined : 'The app is not built yet.';
}
