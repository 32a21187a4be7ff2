/**
 * A small object store that speaks as much of S3 as the server asks for, for tests: every signature is reckoned anew as
 * Amazon's "Authenticating Requests (AWS Signature Version 4)" says, every body is held against the hash that was signed,
 * and the test decides how each request fares. `npm run test:bucket` holds the same tests against a real one.
 */
import { createHash, createHmac } from 'node:crypto';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo, Socket } from 'node:net';

/**
 * `busy`: 503. `refused`: the connection is closed unanswered. `silent`: nothing ever comes. `cut`: half of what is sent or
 * read goes through, then the connection breaks.
 */
export type Fate = 'through' | 'busy' | 'refused' | 'silent' | 'cut';

export interface TestBucket {
  /** Of the bucket itself. */
  readonly url: string;
  readonly objects: Map<string, { bytes: Buffer; type: string }>;
  fate: (method: string, key: string) => Fate;
  /** Method and key of everything asked, in order; a list's key is empty. */
  readonly asked: string[];
  close(): Promise<void>;
}

export const testKeys = { accessKeyId: 'FAIRPEGTESTKEY', secretAccessKey: 'a/secret+for=tests' } as const;
export const testRegion = 'eu-test-1';

const hmac = (key: string | Buffer, text: string): Buffer => createHmac('sha256', key).update(text).digest();
const sha256 = (bytes: string | Buffer): string => createHash('sha256').update(bytes).digest('hex');
/** "UriEncode": all but the unreserved characters, hexadecimal digits in capitals. */
const encoded = (text: string): string =>
  encodeURIComponent(text).replace(/[!'()*]/g, (c) => `%${c.charCodeAt(0).toString(16).toUpperCase()}`);

export interface Signed {
  readonly method: string;
  /** Path and query, as sent. */
  readonly target: string;
  readonly headers: Readonly<Record<string, string | string[] | undefined>>;
}

/** What the signature must be, from the headers that `Authorization` says were signed. */
export function signatureOf({ method, target, headers }: Signed, secret: string): string {
  const authorization = String(headers['authorization'] ?? '');
  const scope = /Credential=[^/]+\/([^,]+)/.exec(authorization)?.[1] ?? '';
  const names = /SignedHeaders=([^,]+)/.exec(authorization)?.[1]?.split(';') ?? [];
  const url = new URL(target, 'http://store');
  const query = [...url.searchParams].map(([name, value]) => `${encoded(name)}=${encoded(value)}`).sort();
  const canonical = [
    method,
    decodeURIComponent(url.pathname).split('/').map(encoded).join('/'),
    query.join('&'),
    ...names.map(
      (name) =>
        `${name}:${String(headers[name] ?? '')
          .trim()
          .replace(/\s+/g, ' ')}`,
    ),
    '',
    names.join(';'),
    headers['x-amz-content-sha256'],
  ].join('\n');
  const text = ['AWS4-HMAC-SHA256', headers['x-amz-date'], scope, sha256(canonical)].join('\n');
  const [date = '', region = '', service = '', end = ''] = scope.split('/');
  const key = [region, service, end].reduce<Buffer>(
    (key, part) => hmac(key, part),
    hmac(`AWS4${secret}`, date),
  );
  return hmac(key, text).toString('hex');
}

/** `pageLength`: of a list. */
export async function testBucket({ pageLength = 3, name = 'house' } = {}): Promise<TestBucket> {
  const objects: TestBucket['objects'] = new Map();
  const sockets = new Set<Socket>();
  const self: Pick<TestBucket, 'objects' | 'asked' | 'fate'> = {
    objects,
    asked: [],
    fate: () => 'through',
  };

  const refuse = (response: ServerResponse, status: number, code: string, more = ''): void => {
    const xml = `<?xml version="1.0" encoding="UTF-8"?><Error><Code>${code}</Code><Message>-</Message>${more}</Error>`;
    response.writeHead(status, { 'content-type': 'application/xml' });
    response.end(response.req.method === 'HEAD' ? undefined : xml);
  };

  const answer = async (request: IncomingMessage, response: ServerResponse): Promise<void> => {
    const { method = '', url: target = '', headers } = request;
    const url = new URL(target, 'http://store');
    const [, bucket = '', ...path] = url.pathname.split('/').map(decodeURIComponent);
    const key = path.join('/');
    self.asked.push(`${method} ${key}`);
    const fate = self.fate(method, key);
    if (fate === 'silent') return;
    if (fate === 'refused') return void request.socket.destroy();
    const pieces: Buffer[] = [];
    for await (const piece of request) {
      pieces.push(piece as Buffer);
      const length = pieces.reduce((sum, { length }) => sum + length, 0);
      if (fate === 'cut' && length * 2 >= Number(headers['content-length']))
        return void request.socket.destroy();
    }
    const body = Buffer.concat(pieces);
    if (fate === 'busy') return refuse(response, 503, 'SlowDown');

    const authorization = headers.authorization ?? '';
    const [, id, region] = /Credential=([^/]+)\/\d{8}\/([^/]+)\/s3\/aws4_request/.exec(authorization) ?? [];
    if (id !== testKeys.accessKeyId) return refuse(response, 403, 'InvalidAccessKeyId');
    if (region !== testRegion)
      return refuse(response, 400, 'AuthorizationHeaderMalformed', `<Region>${testRegion}</Region>`);
    if (
      !authorization.endsWith(
        `Signature=${signatureOf({ method, target, headers }, testKeys.secretAccessKey)}`,
      )
    )
      return refuse(response, 403, 'SignatureDoesNotMatch');
    if (headers['x-amz-content-sha256'] !== sha256(body))
      return refuse(response, 400, 'XAmzContentSHA256Mismatch');
    if (bucket !== name) return refuse(response, 404, 'NoSuchBucket');

    if (key === '') return list(response, url.searchParams);
    const object = objects.get(key);
    if (method === 'PUT') {
      if (Number(headers['content-length']) !== body.length)
        return refuse(response, 411, 'MissingContentLength');
      objects.set(key, { bytes: body, type: headers['content-type'] ?? 'binary/octet-stream' });
      response.writeHead(200).end();
    } else if (method === 'DELETE') {
      objects.delete(key);
      response.writeHead(204).end();
    } else if (!object) refuse(response, 404, 'NoSuchKey');
    else if (method === 'HEAD')
      response.writeHead(200, { 'content-length': object.bytes.length, 'content-type': object.type }).end();
    else {
      const [, first = '0', last = ''] = /^bytes=(\d+)-(\d*)$/.exec(headers.range ?? '') ?? [];
      const bytes = object.bytes.subarray(Number(first), last === '' ? undefined : Number(last) + 1);
      response.writeHead(headers.range ? 206 : 200, {
        'content-length': bytes.length,
        'content-type': object.type,
      });
      if (fate !== 'cut') response.end(bytes);
      else response.write(bytes.subarray(0, bytes.length / 2), () => request.socket.destroy());
    }
  };

  const list = (response: ServerResponse, query: URLSearchParams): void => {
    const keys = [...objects.keys()].filter((key) => key.startsWith(query.get('prefix') ?? '')).sort();
    const start = Number(query.get('continuation-token') ?? 0);
    const page = keys.slice(start, start + pageLength);
    const isTruncated = start + pageLength < keys.length;
    const contents = page.map(
      (key) => `<Contents><Key>${key}</Key><Size>${objects.get(key)?.bytes.length}</Size></Contents>`,
    );
    response.writeHead(200, { 'content-type': 'application/xml' });
    response.end(
      `<?xml version="1.0" encoding="UTF-8"?><ListBucketResult><Name>${name}</Name><IsTruncated>${isTruncated}</IsTruncated>${
        isTruncated ? `<NextContinuationToken>${start + pageLength}</NextContinuationToken>` : ''
      }${contents.join('')}</ListBucketResult>`,
    );
  };

  const server = createServer((request, response) => {
    response.on('error', () => undefined);
    answer(request, response).catch(() => request.socket.destroy());
  });
  server.on('connection', (socket) => {
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket));
  });
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  return Object.assign(self, {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/${name}`,
    close: () =>
      new Promise<void>((closed) => {
        for (const socket of sockets) socket.destroy();
        server.close(() => closed());
      }),
  });
}
