/** One request and its answer: routing, bodies with limits, JSON, and what is said when something fails. */
import { isAscii } from 'node:buffer';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { bodyPieces } from './body.ts';
import { explainFullDisk, Refusal } from './refusal.ts';
import type { Pass } from './store/types.ts';

export interface Exchange {
  readonly request: IncomingMessage;
  readonly response: ServerResponse;
  readonly url: URL;
  /** The named parts of the route, decoded. */
  readonly params: Readonly<Record<string, string>>;
  /** Whoever asks; absent at a server for one person, and before joining. */
  readonly pass: Pass | undefined;
  /** The address the request comes from. */
  readonly address: string;
}

export type Handler = (exchange: Exchange) => void | Promise<void>;

/** `open` routes answer without a pass too. */
export interface Route {
  readonly method: string;
  /** `/api/shots/:id`: a colon names one part. */
  readonly path: string;
  readonly open?: boolean;
  readonly handle: Handler;
}

export interface Found {
  readonly route: Route;
  readonly params: Record<string, string>;
}

/** The route for a method and path; `methods` are those the path has, when the method is the wrong one. */
export function findRoute(
  routes: readonly Route[],
  method: string,
  path: string,
): { found?: Found; methods: string[] } {
  const methods: string[] = [];
  for (const route of routes) {
    const params = matchPath(route.path, path);
    if (!params) continue;
    if (route.method === method || (route.method === 'GET' && method === 'HEAD')) {
      return { found: { route, params }, methods };
    }
    methods.push(route.method);
  }
  return { methods };
}

function matchPath(pattern: string, path: string): Record<string, string> | undefined {
  const wanted = pattern.split('/');
  const given = path.split('/');
  if (wanted.length !== given.length) return undefined;
  const params: Record<string, string> = {};
  for (const [index, part] of wanted.entries()) {
    const value = given[index] as string;
    if (part.startsWith(':')) params[part.slice(1)] = decodePart(value);
    else if (part !== value) return undefined;
  }
  return params;
}

export function decodePart(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    throw new Refusal(400, 'address', 'The address is not written correctly.');
  }
}

/** The body, at most `maxBytes`; a longer one is refused before it is read whole. */
export async function readBody(request: IncomingMessage, maxBytes: number): Promise<Buffer> {
  const tooLong = new Refusal(
    413,
    'too long',
    `At most ${Math.floor(maxBytes / 1e6)} MB can be sent at once; nothing of it was stored.`,
  );
  if (Number(request.headers['content-length'] ?? 0) > maxBytes) throw tooLong;
  const pieces: Buffer[] = [];
  let length = 0;
  for await (const piece of bodyPieces(request)) {
    length += piece.length;
    if (length > maxBytes) throw tooLong;
    pieces.push(piece);
  }
  return Buffer.concat(pieces);
}

export async function readJson(request: IncomingMessage, maxBytes: number): Promise<unknown> {
  return parseJson((await readBodyOf(request, 'application/json', maxBytes)).toString('utf8'));
}

/** JSON values with their texts, one a line; empty lines say nothing. */
export async function readJsonLines(
  request: IncomingMessage,
  maxBytes: number,
): Promise<{ value: unknown; json: string }[]> {
  const body = await readBodyOf(request, 'application/x-ndjson', maxBytes);
  const lines: { value: unknown; json: string }[] = [];
  // Most are plain ASCII, which is decoded in a sixth of the time.
  const encoding = isAscii(body) ? 'latin1' : 'utf8';
  // Decoded line by line: one text of megabytes costs more to make than all its parsing.
  for (let start = 0; start < body.length; ) {
    const lineEnd = body.indexOf('\n', start);
    const end = lineEnd < 0 ? body.length : lineEnd;
    const json = body.toString(encoding, start, end).trim();
    if (json !== '') lines.push({ value: parseJson(json), json });
    start = end + 1;
  }
  return lines;
}

/** Any other type than `type` is refused: a foreign page's form can send none of ours. */
function readBodyOf(request: IncomingMessage, type: string, maxBytes: number): Promise<Buffer> {
  const [given = ''] = (request.headers['content-type'] ?? '').split(';');
  if (given.trim().toLowerCase() !== type) {
    const why =
      'what an older page sends otherwise is safe on its tablet and is sent once the page is updated';
    throw new Refusal(415, 'type', `Send ${type}: ${why}.`);
  }
  return readBody(request, maxBytes);
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    throw new Refusal(400, 'json', 'The request is not valid JSON; nothing of it was stored.');
  }
}

export function sendJson(
  response: ServerResponse,
  status: number,
  value: unknown,
  headers: Readonly<Record<string, string>> = {},
): void {
  sendJsonText(response, status, JSON.stringify(value), headers);
}

/** The same for a value that is written already. */
export function sendJsonText(
  response: ServerResponse,
  status: number,
  json: string,
  headers: Readonly<Record<string, string>> = {},
): void {
  const body = Buffer.from(json);
  response.writeHead(status, {
    'content-type': 'application/json; charset=utf-8',
    'cache-control': 'no-store',
    'content-length': body.length,
    ...headers,
  });
  response.end(response.req.method === 'HEAD' ? undefined : body);
}

/** Answers with what went wrong. A client that has gone gets nothing, and costs nothing more. */
export function sendFailure(response: ServerResponse, thrown: unknown, log: (line: string) => void): void {
  const error = explainFullDisk(thrown);
  if (response.destroyed || response.req.socket.destroyed) return;
  if (response.headersSent) {
    response.destroy();
    return;
  }
  if (error instanceof Refusal) {
    sendJson(response, error.status, { code: error.code, reason: error.message }, error.headers);
    return;
  }
  log(`${response.req.method} ${response.req.url}: ${error instanceof Error ? error.stack : String(error)}`);
  const reason =
    'Something went wrong on the studio server; what is on your tablet is safe, and will be sent again.';
  sendJson(response, 500, { code: 'failed', reason });
}
