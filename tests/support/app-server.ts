/** Serves a built app as a plain static host would; can be stopped and started again at the same address. */
import { readFileSync, statSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo, Socket } from 'node:net';
import { join } from 'node:path';
import { builtApp } from './built-app.ts';

export interface AppServer {
  /** Ends in `/`. */
  readonly url: string;
  /** Refuses connections from now on, as a network that is gone. `butHeld`: what is held hangs on. */
  stop(what?: 'butHeld'): Promise<void>;
  start(): Promise<void>;
  /** Serves another build from the next request on. */
  serve(folder: string): void;
  /** This path gets no answer from now on, as from a network that hangs, until the server stops. */
  hold(path: string): void;
  /** Every path asked for since the start, oldest first. */
  readonly asked: readonly string[];
}

/** `under`: the folder of the host in which the app lies, such as `studio/tools/`. */
export async function appServer(options: { folder?: string; under?: string } = {}): Promise<AppServer> {
  let folder = options.folder ?? (await builtApp());
  const under = `/${options.under ?? ''}`;
  const asked: string[] = [];
  const held = new Set<string>();
  const hanging = new Set<Socket>();
  const sockets = new Set<Socket>();

  const make = (): Server =>
    createServer((request, response) => {
      const path = decodeURIComponent(new URL(request.url ?? '/', 'http://host').pathname);
      asked.push(path);
      if (held.has(path)) {
        hanging.add(request.socket);
        return;
      }
      const file = path === under ? 'index.html' : path.slice(under.length);
      const rules = JSON.parse(readFileSync(join(folder, 'headers.json'), 'utf8')) as Record<
        string,
        Record<string, string>
      >;
      const headers = path.startsWith(under) ? rules[file] : undefined;
      if (headers === undefined || !statSync(join(folder, file), { throwIfNoEntry: false })) {
        response.writeHead(404, { 'content-type': 'text/plain' }).end('There is no such file here.');
        return;
      }
      const body = readFileSync(join(folder, file));
      response.writeHead(200, { ...headers, 'content-length': body.length });
      response.end(request.method === 'HEAD' ? undefined : body);
    });

  let server = make();
  let port = 0;
  const start = (): Promise<void> =>
    new Promise((done, failed) => {
      server = make();
      server.on('connection', (socket) => {
        sockets.add(socket);
        socket.once('close', () => {
          sockets.delete(socket);
          hanging.delete(socket);
        });
      });
      server.once('error', failed);
      server.listen(port, '127.0.0.1', () => {
        port = (server.address() as AddressInfo).port;
        done();
      });
    });
  await start();
  return {
    url: `http://localhost:${port}${under}`,
    asked,
    start,
    hold: (path) => void held.add(path),
    serve(next) {
      folder = next;
    },
    stop: (what) =>
      new Promise((done) => {
        server.close(() => done());
        for (const socket of sockets) if (what !== 'butHeld' || !hanging.has(socket)) socket.destroy();
        if (hanging.size > 0) done();
      }),
  };
}
