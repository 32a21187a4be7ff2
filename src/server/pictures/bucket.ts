/**
 * Requests to a bucket of an object store that speaks S3: signed by aws4fetch (AWS Signature Version 4), sent by Node's own
 * HTTP, so that a picture goes through piece by piece and silence is noticed on both ways.
 */
import { createReadStream } from 'node:fs';
import { type IncomingMessage, Agent as PlainAgent, request as plainRequest } from 'node:http';
import { Agent as SecureAgent, request as secureRequest } from 'node:https';
import { pipeline } from 'node:stream/promises';
import { setTimeout as delay } from 'node:timers/promises';
import { AwsV4Signer } from 'aws4fetch';
import { saidOnce } from '../said-once.ts';
import { bucketFault, isPassing } from './bucket-faults.ts';
import { KeeperAway } from './keeper.ts';

export interface BucketPlace {
  /** Of the bucket itself: `https://s3.example.org/house` or `https://house.s3.example.org`. */
  readonly url: URL;
  /** Before every key: empty, or with a slash at its end. */
  readonly prefix: string;
  readonly region: string;
  readonly accessKeyId: string;
  readonly secretAccessKey: string;
  readonly sessionToken: string | undefined;
}

export interface BucketAsk {
  readonly method: 'GET' | 'HEAD' | 'PUT' | 'DELETE';
  /** Empty for the bucket itself. */
  readonly key: string;
  readonly query?: Readonly<Record<string, string>>;
  readonly headers?: Readonly<Record<string, string>>;
  readonly body?: BucketBody;
}

/** A file, or a short text; its hash is signed, and the store turns down other bytes. */
export interface BucketBody {
  readonly file?: string;
  readonly text?: string;
  readonly byteLength: number;
  readonly sha256: string;
}

export interface BucketAnswer {
  readonly status: number;
  readonly headers: IncomingMessage['headers'];
  readonly body: IncomingMessage;
}

export interface BucketPatience {
  /** No byte moves for so long: it is given up. */
  readonly silentMs: number;
  /** How long it is tried again before the tablet is told to come back. */
  readonly tryMs: number;
  /** Before the second try; twice as long before each further one. */
  readonly pauseMs: number;
}

const usualPatience: BucketPatience = { silentMs: 20_000, tryMs: 10_000, pauseMs: 200 };

export interface Bucket {
  /**
   * Answers of 2xx, and 404 for a key that is not there, its body read already. Rejects with a `BucketRefusal` for what no second try would change, and with a
   * `KeeperAway` for what time may mend, after several tries. The body has to be read, or `toText` called.
   */
  ask(asked: BucketAsk): Promise<BucketAnswer>;
  close(): void;
}

/** The store said no: wrong credentials, no such bucket. */
export class BucketRefusal extends KeeperAway {}

const nothing: BucketBody = {
  text: '',
  byteLength: 0,
  // SHA-256 of no bytes.
  sha256: 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855',
};

export function openBucket(
  place: BucketPlace,
  log: (line: string) => void,
  patience: Partial<BucketPatience> = {},
): Bucket {
  const { silentMs, tryMs, pauseMs } = { ...usualPatience, ...patience };
  const away = saidOnce(log, `The bucket ${place.url.href} is in reach again.`);
  const isSecure = place.url.protocol === 'https:';
  const agent = isSecure ? new SecureAgent({ keepAlive: true }) : new PlainAgent({ keepAlive: true });

  const once = async ({ method, key, query = {}, headers = {}, body = nothing }: BucketAsk) => {
    const url = new URL(place.url);
    if (key !== '') url.pathname = `${url.pathname.replace(/\/$/, '')}/${place.prefix}${key}`;
    for (const [name, value] of Object.entries(query)) url.searchParams.set(name, value);
    const { accessKeyId, secretAccessKey, sessionToken, region } = place;
    const signed = await new AwsV4Signer({
      method,
      url: url.href,
      headers: { ...headers, 'x-amz-content-sha256': body.sha256 },
      service: 's3',
      region,
      accessKeyId,
      secretAccessKey,
      ...(sessionToken !== undefined && { sessionToken }),
    }).sign();
    return new Promise<BucketAnswer>((resolve, reject) => {
      const request = (isSecure ? secureRequest : plainRequest)(signed.url, {
        method,
        agent,
        headers: {
          ...Object.fromEntries(signed.headers),
          ...(method === 'PUT' && { 'content-length': body.byteLength }),
        },
      });
      request.setTimeout(silentMs, () => request.destroy(new Error(`nothing came for ${silentMs / 1000} s`)));
      request.on('error', reject);
      request.on('response', (answer) => {
        // Whoever fetches it may read slowly for longer than the store may be silent.
        request.setTimeout(Math.max(silentMs, 60_000));
        resolve({ status: answer.statusCode ?? 0, headers: answer.headers, body: answer });
      });
      if (body.file === undefined) request.end(body.text ?? '');
      // What the store answers meanwhile is heard above; its connection ends with what it says.
      else
        pipeline(createReadStream(body.file), request).catch((error: unknown) =>
          request.destroy(error as Error),
        );
    });
  };

  return {
    async ask(asked) {
      const startMs = performance.now();
      for (let pause = pauseMs; ; pause *= 2) {
        let why: string;
        try {
          const answer = await once(asked);
          const { status } = answer;
          if (status < 300) {
            away.well();
            return answer;
          }
          const said = await toText(answer).catch(() => '');
          const code = tagIn(said, 'Code') ?? '';
          // HEAD has no body; whether there is a bucket was asked at the start.
          if (status === 404 && asked.method !== 'PUT' && asked.key !== '' && code !== 'NoSuchBucket')
            return answer;
          if (!isPassing(status, code)) throw new BucketRefusal(bucketFault(place, status, code, said));
          why = `the store answers ${status} ${code}`.trim();
        } catch (error) {
          if (error instanceof BucketRefusal) {
            away.failed(error.why);
            throw error;
          }
          if ((error as NodeJS.ErrnoException).code === 'ENOENT') throw error;
          why = reasonOf(error);
        }
        if (performance.now() - startMs + pause > tryMs) {
          const sentence = `The bucket ${place.url.href} cannot be reached: ${why}.`;
          away.failed(sentence);
          throw new KeeperAway(sentence);
        }
        await delay(pause * (0.5 + Math.random() / 2));
      }
    },
    close: () => agent.destroy(),
  };
}

/** Node gathers what each address of a name said. */
function reasonOf(error: unknown): string {
  const { message, code, errors } = error as Error & { code?: string; errors?: unknown[] };
  const [first] = errors ?? [];
  if (first instanceof Error) return first.message;
  return message || code || 'no answer';
}

/** Of an answer that is short: a list, or an error. */
export async function toText({ body }: BucketAnswer): Promise<string> {
  const pieces: Buffer[] = [];
  for await (const piece of body as AsyncIterable<Buffer>) pieces.push(piece);
  return Buffer.concat(pieces).toString('utf8');
}

/** What stands in the first element of that name; S3's answers nest no element of one name in another. */
export function tagIn(xml: string, name: string): string | undefined {
  const text = new RegExp(`<${name}>([^<]*)</${name}>`).exec(xml)?.[1];
  return text?.replace(/&(amp|lt|gt|quot|apos);/g, (_, entity: keyof typeof entities) => entities[entity]);
}

const entities = { amp: '&', lt: '<', gt: '>', quot: '"', apos: "'" } as const;
