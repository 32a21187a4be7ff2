/** The server's figures for Prometheus. Names and units as its documentation asks: base units, `_total` for counters. */
import { Counter, collectDefaultMetrics, Gauge, Histogram, Registry } from 'prom-client';
import type { Watch } from './watch.ts';

export interface Metrics extends Watch {
  readonly contentType: string;
  /** All figures, in the text format. */
  text(): Promise<string>;
}

/** What is asked when somebody looks. */
export interface MetricNeeds {
  /** Resolves to false while the database cannot be used. */
  databaseUp(): Promise<boolean>;
  /** Place of the newest entry: as many as there are. */
  entries(): Promise<number>;
  readonly open: () => { readonly requests: number; readonly streams: number };
  /** Of all pictures kept in the data folder. */
  pictureBytes(): Promise<number>;
}

const seconds = [0.001, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 10, 30];
const sizes = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 5000];

export function metrics(needs: MetricNeeds): Metrics {
  const registry = new Registry();
  const registers = [registry];
  collectDefaultMetrics({ register: registry });
  const counter = <L extends string>(name: string, help: string, labelNames: readonly L[]) =>
    new Counter<L>({ name: `fairpeg_${name}`, help, labelNames, registers });
  const histogram = <L extends string>(
    name: string,
    help: string,
    buckets: readonly number[],
    labelNames: readonly L[],
  ) => new Histogram<L>({ name: `fairpeg_${name}`, help, buckets: [...buckets], labelNames, registers });
  /** Undefined is not told: better no figure than an old one. */
  const asked = (name: string, help: string, ask: () => Promise<number | undefined>): void => {
    const gauge = new Gauge({
      name: `fairpeg_${name}`,
      help,
      registers,
      async collect() {
        const value = await ask().catch(() => undefined);
        if (value === undefined) gauge.remove();
        else gauge.set(value);
      },
    });
  };

  const requests = counter('requests_total', 'Requests answered.', ['method', 'route', 'status']);
  const took = histogram('request_seconds', 'Time to a whole answer, streams aside.', seconds, ['route']);
  const refused = counter('refused_total', 'Requests turned down, by the code of the refusal.', ['code']);
  const posted = counter('entries_posted_total', 'Entries posted: stored, known before, or refused.', [
    'result',
  ]);
  const commits = histogram('commit_seconds', 'Time of a commit of entries.', seconds, []);
  const writes = histogram('commit_writes', 'Writes that waited together and shared a commit.', sizes, []);
  const held = histogram('commit_entries', 'Entries of a commit.', sizes, []);
  const failed = counter('commits_failed_total', 'Commits of entries that failed.', []);
  const queue = new Gauge({
    name: 'fairpeg_commit_waiting',
    help: 'Writes that wait for the next commit.',
    registers,
  });
  const lag = histogram(
    'hint_lag_seconds',
    'From the arrival of entries until this server told its tablets, by where they had come in.',
    seconds,
    ['at'],
  );
  const pictures = counter('picture_bytes_total', 'Bytes of pictures sent here and fetched.', ['way']);
  asked('database_up', '1 while the database can be used.', async () => Number(await needs.databaseUp()));
  asked('entries', 'Entries that the studio keeps.', () => needs.entries());
  asked('open_streams', 'Tablets that listen here.', async () => needs.open().streams);
  asked('open_requests', 'Requests that wait for their answer.', async () => needs.open().requests);
  asked('picture_kept_bytes', 'Bytes of pictures in the data folder.', () => needs.pictureBytes());

  return {
    contentType: registry.contentType,
    text: () => registry.metrics(),
    answered({ method, route, status, seconds: time }) {
      requests.inc({ method, route, status: String(status) });
      if (time !== undefined) took.observe({ route }, time);
    },
    refused: (code) => refused.inc({ code }),
    entry: (result) => posted.inc({ result }),
    picture: (bytes, way) => pictures.inc({ way }, bytes),
    waiting: (count) => queue.set(count),
    committed({ writes: shared, entries, seconds: time, ok }) {
      if (!ok) {
        failed.inc();
        return;
      }
      commits.observe(time);
      writes.observe(shared);
      held.observe(entries);
    },
    hinted: (time, own) => lag.observe({ at: own ? 'here' : 'another server' }, time),
  };
}
