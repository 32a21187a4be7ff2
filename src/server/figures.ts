/** Counts what the server does, where somebody may look at it. */
import type { IncomingMessage, ServerResponse } from 'node:http';
import type { MetricNeeds } from './metrics.ts';
import { type MetricsDoor, metricsDoor } from './metrics-door.ts';
import type { Watch } from './watch.ts';

export interface Figures {
  readonly watch: Watch;
  readonly door: MetricsDoor;
  /** What is asked when somebody looks; known once the server stands. */
  ask(needs: MetricNeeds): void;
}

/** A database that does not answer is down for whoever looks: Prometheus itself waits for ten seconds. */
const answerMs = 3000;

/** The library is loaded only where somebody has the token. */
export async function openMetrics(token: string): Promise<Figures> {
  const { metrics } = await import('./metrics.ts');
  let needs: MetricNeeds | undefined;
  const asking = async (ask: (from: MetricNeeds) => Promise<number>): Promise<number> => {
    if (!needs) throw new Error('The server does not stand yet.');
    return inTime(ask(needs));
  };
  const counted = metrics({
    databaseUp: () => inTime(needs?.databaseUp() ?? Promise.resolve(false)).catch(() => false),
    entries: () => asking((from) => from.entries()),
    open: () => needs?.open() ?? { requests: 0, streams: 0 },
    pictureBytes: () => asking((from) => from.pictureBytes()),
  });
  return {
    watch: counted,
    door: metricsDoor(token, counted),
    ask(given) {
      needs = given;
    },
  };
}

async function inTime<T>(asked: Promise<T>): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error('No answer in time.')), answerMs);
  });
  try {
    return await Promise.race([asked, late]);
  } finally {
    clearTimeout(timer);
  }
}

/** Tells of the answer once it is out. What is given back is called with the route, where there is one. */
export function watchAnswer(
  watch: Watch,
  request: IncomingMessage,
  response: ServerResponse,
): (route: string) => void {
  const startedMs = performance.now();
  let route = 'none';
  response.on('close', () => {
    const { statusCode: status, headersSent } = response;
    // Its client went before it heard anything.
    if (!headersSent) return;
    const seconds = route === '/api/live' ? undefined : (performance.now() - startedMs) / 1000;
    watch.answered({ method: request.method ?? '', route, status, seconds });
    if (route !== '/api/images/:sha256' || status >= 300) return;
    const [sent, fetched] = [request.headers['content-length'], response.getHeader('content-length')];
    if (request.method === 'PUT') watch.picture(Number(sent ?? 0), 'in');
    if (request.method === 'GET') watch.picture(Number(fetched ?? 0), 'out');
  });
  return (found) => {
    route = found;
  };
}
