/** What `serve` and `passes` are told at the prompt. */
import { resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { type Limits, usualLimits } from './limits.ts';
import { type PicturePlace, picturesAt } from './pictures/picture-place.ts';

export interface ServeOptions {
  readonly app: string;
  readonly shots: string;
  readonly data: string;
  /** Address of a PostgreSQL database; absent: a file in `data`. */
  readonly database: string | undefined;
  /** Absent: in `data`. */
  readonly pictures: PicturePlace | undefined;
  readonly port: number;
  /** Reached by others than this machine. */
  readonly network: boolean;
  readonly https: boolean;
  /** Names and addresses to put into the certificate besides this machine's own. */
  readonly names: readonly string[];
  /** The origin that a reverse proxy shows to tablets. */
  readonly behind: URL | undefined;
  /** Whoever has it may look at `/metrics`; absent: nobody. */
  readonly metricsToken: string | undefined;
  readonly limits: Pick<Limits, 'connectionsInAll' | 'streamsInAll' | 'pictureBytes'>;
}

export const serveHelp = `fairpeg serve [--shots FOLDER] [--data FOLDER] [--port N] [--network | --https | --behind ORIGIN]

  --shots FOLDER    shots to offer, one folder each      (sample-shots)
  --data FOLDER     notes, passes, pictures are kept here (.studio)
  --database URL    a PostgreSQL database for notes and passes, for several servers on
                    one --data folder; DATABASE_URL in the environment does the same
  --pictures WHERE  a folder that several servers share, or the address of a bucket that speaks
                    S3 (keys in AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY), for pictures;
                    PICTURES_URL in the environment does the same
  --port N          port to listen on                    (4173)
  --network         let others in, by HTTP: fine for looking, but tablets keep nothing offline
  --https           let tablets in, by HTTPS with a certificate authority of this server's own
  --name NAME       a further name or address for the certificate; may be given several times
  --behind ORIGIN   behind a reverse proxy that shows ORIGIN, e.g. https://studio.example.org
  --app FOLDER      the built app                        (dist/app)
  --connections N   connections open at one time         (4000)
  --streams N       tablets that listen at one time      (1000)
  --picture-gb N    GB of pictures, wherever they lie    (500)

With FAIRPEG_METRICS_TOKEN in the environment, whoever sends that token gets figures for Prometheus
at /metrics; without it nobody does. FAIRPEG_LOG=json writes the log as JSON, one object a line.

Without --network, --https or --behind only this machine is served, and no code is needed.
With any of them everyone needs a pass: see fairpeg passes.
`;

/** Throws one sentence for an option that is unknown, lacks its value or makes no sense. */
export function readServeOptions(args: readonly string[], root: string): ServeOptions {
  const { values } = parseArgs({
    args: [...args],
    options: {
      shots: { type: 'string', default: resolve(root, 'sample-shots') },
      data: { type: 'string', default: '.studio' },
      database: { type: 'string' },
      pictures: { type: 'string' },
      app: { type: 'string', default: resolve(root, 'dist/app') },
      port: { type: 'string', default: '4173' },
      network: { type: 'boolean', default: false },
      https: { type: 'boolean', default: false },
      name: { type: 'string', multiple: true, default: [] },
      behind: { type: 'string' },
      connections: { type: 'string', default: String(usualLimits.connectionsInAll) },
      streams: { type: 'string', default: String(usualLimits.streamsInAll) },
      'picture-gb': { type: 'string', default: String(usualLimits.pictureBytes / 1e9) },
      // The address is always printed; the option only says that someone waits for it.
      'open-hint': { type: 'boolean' },
    },
  });
  const port = Number(values.port);
  if (!Number.isInteger(port) || port < 0 || port > 65_535) {
    throw new Error(`--port wants a number from 0 to 65535, not ${values.port}.`);
  }
  if (values.behind !== undefined && !URL.canParse(values.behind)) {
    throw new Error(`--behind wants an origin such as https://studio.example.org, not ${values.behind}.`);
  }
  if (values.behind !== undefined && values.https) {
    throw new Error('Give --https or --behind, not both: behind a proxy, the proxy speaks HTTPS.');
  }
  return {
    app: resolve(values.app),
    shots: resolve(values.shots),
    data: resolve(values.data),
    database: databaseAt(values.database),
    pictures: picturesAt(values.pictures),
    port,
    network: values.network || values.https,
    https: values.https,
    names: values.name,
    behind: values.behind === undefined ? undefined : new URL(values.behind),
    metricsToken: metricsToken(),
    limits: {
      connectionsInAll: atLeast('--connections', values.connections, 1),
      streamsInAll: atLeast('--streams', values.streams, 1),
      pictureBytes: atLeast('--picture-gb', values['picture-gb'], 0) * 1e9,
    },
  };
}

/** What `--database` says, else the environment. Throws one sentence, without a password, for what is no address. */
export function databaseAt(
  given: string | undefined,
  env: Readonly<Record<string, string | undefined>> = process.env,
): string | undefined {
  const url = given ?? env['DATABASE_URL'];
  if (url === undefined || url === '') return undefined;
  // Looked at no closer: an address of a socket (`postgresql://ana@/house?host=/run/postgresql`) is none to `URL`.
  if (/^postgres(ql)?:\/\//.test(url)) return url;
  const where = given === undefined ? 'DATABASE_URL' : '--database';
  throw new Error(`${where} wants an address such as postgresql://fairpeg@db.example.org/fairpeg.`);
}

/** A secret stands in the environment only: everybody on the machine sees the options of a process. */
export function metricsToken(
  env: Readonly<Record<string, string | undefined>> = process.env,
): string | undefined {
  const token = env['FAIRPEG_METRICS_TOKEN'];
  if (token === undefined || token === '') return undefined;
  if (/^[\x21-\x7e]{20,200}$/.test(token)) return token;
  throw new Error(
    'FAIRPEG_METRICS_TOKEN wants 20 to 200 letters, digits or signs without spaces, such as `openssl rand -hex 20` prints.',
  );
}

function atLeast(option: string, value: string, least: number): number {
  const number = Number(value);
  if (value.trim() !== '' && Number.isSafeInteger(number) && number >= least) return number;
  throw new Error(`${option} wants a whole number from ${least} on, not ${value}.`);
}
