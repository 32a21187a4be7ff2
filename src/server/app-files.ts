/**
 * The built app, exactly the files its `headers.json` lists, with the headers stated there. Anything else is
 * 404, also a path that tries to climb out: paths are looked up, never joined from what was asked.
 */
import { createReadStream } from 'node:fs';
import { readFile, stat } from 'node:fs/promises';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { decodePart } from './exchange.ts';
import { Refusal } from './refusal.ts';

type Listing = ReadonlyMap<string, Readonly<Record<string, string>>>;

export interface AppFiles {
  serve(request: IncomingMessage, response: ServerResponse, path: string): Promise<void>;
}

export function appFiles(folder: string): AppFiles {
  let listing: { readMs: number; files: Listing } | undefined;

  /** Read again after each build. */
  const list = async (): Promise<Listing> => {
    const file = join(folder, 'headers.json');
    const found = await stat(file).catch(() => undefined);
    if (!found) {
      throw new Refusal(
        503,
        'no app',
        'The app is not built yet. Run `npm run build`, then load this page again.',
      );
    }
    if (listing?.readMs !== found.mtimeMs) {
      const parsed = JSON.parse(await readFile(file, 'utf8')) as Record<string, Record<string, string>>;
      listing = { readMs: found.mtimeMs, files: new Map(Object.entries(parsed)) };
    }
    return listing.files;
  };

  return {
    async serve(request, response, path) {
      if (request.method !== 'GET' && request.method !== 'HEAD') {
        throw new Refusal(405, 'method', 'Only GET works here.', { allow: 'GET, HEAD' });
      }
      const name = decodePart(path.slice(1)) || 'index.html';
      const headers = (await list()).get(name);
      if (!headers) throw new Refusal(404, 'missing', 'There is nothing at this address.');
      const takesBrotli = /\bbr\b/.test(request.headers['accept-encoding'] ?? '');
      const whole = join(folder, name);
      const packed = takesBrotli ? await stat(`${whole}.br`).catch(() => undefined) : undefined;
      const size = packed ?? (await stat(whole));
      const etag = `"${size.size.toString(36)}-${Math.floor(size.mtimeMs).toString(36)}${packed ? '-br' : ''}"`;
      response.setHeaders(new Map(Object.entries({ ...headers, etag, vary: 'accept-encoding' })));
      if (request.headers['if-none-match'] === etag) {
        response.writeHead(304).end();
        return;
      }
      if (packed) response.setHeader('content-encoding', 'br');
      response.writeHead(200, { 'content-length': size.size });
      if (request.method === 'HEAD') response.end();
      else await pipeline(createReadStream(packed ? `${whole}.br` : whole), response);
    },
  };
}
