/** The studio server's request handling, with all it stands on; `listen.ts` puts it on ports. */
import { randomUUID } from 'node:crypto';
import { mkdir } from 'node:fs/promises';
import type { IncomingMessage, RequestListener, ServerResponse } from 'node:http';
import { isIP } from 'node:net';
import { beatMs } from '../wire/hints.ts';
import { apiRoutes } from './api/routes.ts';
import { appFiles } from './app-files.ts';
import { closeUnlessSent, guardBody } from './body.ts';
import { findRoute, sendFailure } from './exchange.ts';
import { openMetrics, watchAnswer } from './figures.ts';
import { health } from './health.ts';
import { type Limits, usualLimits } from './limits.ts';
import { live } from './live.ts';
import { meetNeighbours } from './neighbours.ts';
import { openRequests } from './open-requests.ts';
import { gate } from './passes.ts';
import { images } from './pictures/images.ts';
import { lackingPictures } from './pictures/lacking.ts';
import { openKeeper } from './pictures/open-keeper.ts';
import type { PicturePlace } from './pictures/picture-place.ts';
import { rates } from './rates.ts';
import type { ReadShot } from './read-folder-shot.ts';
import { noPass, Refusal } from './refusal.ts';
import { saidOnce } from './said-once.ts';
import { checkSeal, openSeal } from './seal.ts';
import { shotsIn } from './shots.ts';
import { watchShots } from './shots-folder.ts';
import { openStore } from './store/open-store.ts';
import type { Pass, StudioStore } from './store/types.ts';
import { unwatched, type Watch } from './watch.ts';

export interface StudioOptions {
  /** Where the built app lies. */
  readonly app: string;
  /** The folder of shots that is watched; absent: none. */
  readonly shots?: { readonly folder: string; readonly readShot: ReadShot };
  /** What the server keeps: entries, passes, pictures, certificates. */
  readonly data: string;
  /** Address of a PostgreSQL database for entries, passes and shots; absent: a file in `data`. */
  readonly database?: string | undefined;
  /** Where pictures lie; absent: in `data`. */
  readonly pictures?: PicturePlace | undefined;
  /** True as soon as anyone but this machine can reach the server. There is no way round it. */
  readonly needsPass: boolean;
  readonly secure: boolean;
  /** Where other tablets find the app, the best address first; known once it listens. */
  readonly urls?: () => readonly string[];
  /** Set behind a reverse proxy: whom to believe about the client's address. */
  readonly behindProxy?: boolean;
  readonly limits?: Partial<Limits>;
  readonly heartbeatMs?: number;
  readonly rescanMs?: number;
  /** How often all pictures are looked through for lost ones. */
  readonly lookMs?: number;
  /** How long it gathers those that were asked for in vain. */
  readonly gatherMs?: number;
  /** How soon what a pass has open ends after it was revoked at the prompt. */
  readonly revokedMs?: number;
  /** How often servers on one database tell each other what is open and asked. */
  readonly neighbourMs?: number;
  /** Whoever has it may look at `/metrics`; absent: nobody. */
  readonly metricsToken?: string | undefined;
  readonly log: (line: string) => void;
  readonly now?: () => number;
}

export interface Studio {
  readonly handle: RequestListener;
  readonly store: StudioStore;
  /** Tells streams that it stops, and takes no further request. Those under way go on. */
  stop(): void;
  /** `stop`, then waits for what is being written and for the shots folder, and closes the store. */
  close(): Promise<void>;
}

export async function openStudio(options: StudioOptions): Promise<Studio> {
  const { log, needsPass, now = Date.now } = options;
  const limits = { ...usualLimits, ...options.limits };
  await mkdir(options.data, { recursive: true, mode: 0o700 });
  const seal = await openSeal(options.data);
  const figures = options.metricsToken === undefined ? undefined : await openMetrics(options.metricsToken);
  const watch: Watch = figures?.watch ?? unwatched;
  const store = await openStore({ ...options, watch });
  if (options.database !== undefined) {
    await checkSeal(seal, store).catch(async (error: unknown) => {
      await store.close();
      throw error;
    });
  }
  const pictures = await openKeeper({ ...options, mark: seal.mark })
    .then((keeper) =>
      images({
        keeper,
        limits,
        news: { missed: (sha256) => lacking.missed(sha256), came: (sha256) => lacking.came(sha256) },
        log,
      }),
    )
    .catch(async (error: unknown) => {
      await store.close();
      throw error;
    });
  const shots = shotsIn(store);
  const open = openRequests(limits);
  const hints = live(options.heartbeatMs ?? beatMs);
  const lacking = lackingPictures({
    shots,
    images: pictures,
    changed: () => hints.tell({ kind: 'shots' }),
    lookMs: options.lookMs ?? 3_600_000,
    gatherMs: options.gatherMs ?? 1000,
    log,
  });
  const door = gate(store, limits, options.secure);
  const asked = rates(limits, store.neighbours, now);
  const app = appFiles(options.app);
  await store.onNews(({ shot, last, isPaper }) => {
    hints.tell({ kind: 'entries', shot, last });
    if (isPaper) hints.tell({ kind: 'shots' });
  });
  const routes = apiRoutes({
    server: await store.setting('server', randomUUID),
    store,
    seal,
    images: pictures,
    shots,
    lacking,
    live: hints,
    open,
    gate: door,
    limits,
    watch,
    needsPass,
    secure: options.secure,
    urls: options.urls ?? (() => []),
    now,
  });
  const folder = options.shots
    ? watchShots({
        ...options.shots,
        store,
        images: pictures,
        rescanMs: options.rescanMs ?? 2000,
        log,
      })
    : undefined;
  const house = store.neighbours
    ? meetNeighbours({
        neighbours: store.neighbours,
        open,
        rates: asked,
        everyMs: options.neighbourMs ?? 1000,
      })
    : undefined;

  let stopping = false;
  const vitals = health({ store, data: options.data, app: options.app, stopping: () => stopping });
  /** Requests that are being worked at: the store is closed after them. */
  const working = new Set<Promise<void>>();

  figures?.ask({
    databaseUp: async () => (await store.fault()) === undefined,
    entries: () => store.newest(),
    open: () => open.counts,
    pictureBytes: () => pictures.keptBytes(),
  });

  const answer = async (
    request: IncomingMessage,
    response: ServerResponse,
    on: (route: string) => void,
  ): Promise<void> => {
    response.setHeaders(safeHeaders);
    const url = addressed(request);
    // A supervisor asks by the machine's address, and knows nothing of proxies and passes.
    const vital =
      vitals.answer(request, response, url.pathname) ?? figures?.door.answer(request, response, url.pathname);
    if (vital) {
      on(url.pathname);
      return vital;
    }
    if (stopping) throw beingStopped();
    checkOrigin(request, needsPass);
    const address = addressOf(request, options.behindProxy ?? false);
    guardBody(request, limits.silentMs);
    if (!url.pathname.startsWith('/api/')) {
      open.enter({ request, response, address, passId: undefined });
      on('the app');
      await app.serve(request, response, url.pathname);
      return;
    }
    const pass = asPass(await door.passOf(request), needsPass);
    open.enter({ request, response, address, passId: pass?.id });
    if (!asked.take(pass?.id ?? address, now())) {
      throw new Refusal(429, 'rate', 'Too much was asked at once. It is tried again in a moment.', {
        'retry-after': '2',
      });
    }
    const { found, methods } = findRoute(routes, request.method ?? 'GET', url.pathname);
    if (!found && methods.length > 0) {
      throw new Refusal(405, 'method', `Only ${methods.join(', ')} works here.`, {
        allow: methods.join(', '),
      });
    }
    if (!found) throw new Refusal(404, 'missing', 'There is nothing at this address.');
    on(found.route.path);
    if (needsPass && !pass && !found.route.open) throw noPass();
    await found.route.handle({
      request,
      response,
      url,
      params: found.params,
      pass,
      address,
    });
  };

  /** A pass may be revoked at the prompt, by another process. */
  const endRevoked = async (): Promise<void> => {
    // Who joins while the database answers is not in the answer.
    const asked = open.passIds();
    if (asked.size === 0) return;
    const standing = new Set((await store.passes()).flatMap(({ id, revokedMs }) => (revokedMs ? [] : [id])));
    open.endUnless((id) => standing.has(id) || !asked.has(id));
  };
  const passesRead = saidOnce(log, 'The passes can be read again.');
  const looking = setInterval(() => {
    endRevoked().then(passesRead.well, (error: unknown) =>
      passesRead.failed(
        `The passes could not be read: ${error instanceof Error ? error.message : String(error)}`,
      ),
    );
  }, options.revokedMs ?? 1000).unref();

  const stop = (): void => {
    stopping = true;
    hints.close();
  };

  return {
    handle(request, response) {
      // A broken connection is the client's own affair.
      response.on('error', () => undefined);
      request.on('error', () => undefined);
      response.on('finish', () => closeUnlessSent(request));
      const work = answer(request, response, watchAnswer(watch, request, response))
        .catch((error: unknown) => {
          watch.refused(error instanceof Refusal ? error.code : 'failed');
          sendFailure(response, error, log);
        })
        .finally(() => working.delete(work));
      working.add(work);
    },
    store,
    stop,
    async close() {
      stop();
      clearInterval(looking);
      // Cut off or not: whoever writes is done before the store closes.
      await Promise.all(working);
      await folder?.close();
      await lacking.close();
      await pictures.close();
      await house?.close();
      await store.close();
    },
  };
}

/** Where no pass is needed, one left over from another time says nothing. */
function asPass(pass: Pass | undefined, needsPass: boolean): Pass | undefined {
  return needsPass ? pass : undefined;
}

function beingStopped(): Refusal {
  return new Refusal(
    503,
    'stopping',
    'The studio server is being stopped; what is on your tablet is safe, and is sent once it is back.',
    { 'retry-after': '5', connection: 'close' },
  );
}

function addressed({ url = '/' }: IncomingMessage): URL {
  const base = 'http://studio.invalid';
  if (URL.canParse(url, base)) return new URL(url, base);
  throw new Refusal(400, 'address', 'The address is not written correctly.');
}

const safeHeaders = new Map([
  ['x-content-type-options', 'nosniff'],
  ['referrer-policy', 'no-referrer'],
  ['cross-origin-opener-policy', 'same-origin'],
  ['cross-origin-resource-policy', 'same-origin'],
  ['permissions-policy', 'camera=(), microphone=(), geolocation=()'],
]);

const ownNames: ReadonlySet<string> = new Set(['localhost', '127.0.0.1', '[::1]']);

/**
 * A server for one person trusts its own machine, so it answers to the machine's own names only: a foreign
 * page that points its name here (DNS rebinding), or a proxy that lets the network in, is refused. Writing
 * from another origin's page is refused everywhere.
 */
function checkOrigin({ headers, method }: IncomingMessage, needsPass: boolean): void {
  const host = headers.host ?? '';
  if (!needsPass && (!ownNames.has(host.replace(/:\d+$/, '')) || headers['x-forwarded-for'] !== undefined)) {
    throw new Refusal(
      421,
      'host',
      'This server is for one person on this machine. Start it with --network or --https for tablets, or with --behind ORIGIN behind a proxy.',
    );
  }
  if (method === 'GET' || method === 'HEAD') return;
  const site = headers['sec-fetch-site'];
  const foreign = site !== undefined && site !== 'same-origin' && site !== 'none';
  if (foreign || (headers.origin !== undefined && hostOf(headers.origin) !== host)) {
    throw new Refusal(403, 'origin', 'This was sent from a page of another origin.');
  }
}

function hostOf(origin: string): string | undefined {
  return URL.canParse(origin) ? new URL(origin).host : undefined;
}

function addressOf(request: IncomingMessage, behindProxy: boolean): string {
  const forwarded = request.headers['x-forwarded-for'];
  if (!behindProxy) return request.socket.remoteAddress ?? '';
  const last = typeof forwarded === 'string' ? forwarded.split(',').at(-1)?.trim() : undefined;
  if (last !== undefined && isIP(last) !== 0) return last;
  // Without it everyone would be one client, and one who guesses codes would lock all out.
  throw new Refusal(
    421,
    'proxy',
    'The proxy in front of the studio server does not say who asks. Let it set X-Forwarded-For to the address of its client.',
  );
}
