/** Puts a studio on ports, and takes it off again without cutting anyone short. */
import { createServer, type RequestListener, type Server } from 'node:http';
import { createServer as createSecureServer, type ServerOptions } from 'node:https';
import type { AddressInfo, Socket } from 'node:net';
import { type Limits, usualLimits } from './limits.ts';

export interface Listening {
  readonly port: number;
  readonly servers: readonly Server[];
  close(): Promise<void>;
}

export interface ListenOptions {
  readonly handle: RequestListener;
  /** Addresses to listen on; those this machine lacks are passed over, but one must work. */
  readonly hosts: readonly string[];
  /** 0: any free one, the same on all addresses. */
  readonly port: number;
  /** Key and certificate: HTTPS. */
  readonly tls?: Pick<ServerOptions, 'key' | 'cert'>;
  readonly limits?: ConnectionLimits;
}

/** Connections at one time, on all addresses together. One that moves no byte for thrice `silentMs` is closed. */
export type ConnectionLimits = Pick<Limits, 'connectionsPerAddress' | 'connectionsInAll' | 'silentMs'>;

/** Rejects with one sentence when the port is taken or may not be used. */
export async function listen({
  handle,
  hosts,
  port,
  tls,
  limits = usualLimits,
}: ListenOptions): Promise<Listening> {
  const welcome = doorkeeper(limits);
  const servers: Server[] = [];
  let taken = port;
  try {
    for (const host of hosts) {
      const server = tls ? createSecureServer(tls, handle) : createServer(handle);
      tame(server, limits);
      server.on(tls ? 'secureConnection' : 'connection', welcome);
      if (await bind(server, host, taken)) {
        servers.push(server);
        taken = (server.address() as AddressInfo).port;
      }
    }
  } catch (error) {
    for (const server of servers) server.close();
    throw error;
  }
  if (servers.length === 0)
    throw new Error(`This machine has no address ${hosts.join(' or ')} to listen on.`);
  return {
    port: taken,
    servers,
    async close() {
      await Promise.all(servers.map(closeServer));
    },
  };
}

/** Slow and broken clients cost their own connection, not the others'. */
function tame(server: Server, { silentMs, connectionsInAll }: ConnectionLimits): void {
  server.headersTimeout = 20_000;
  // Silence is limited, not length: a drawing of 100 MB over a weak wireless network takes its time.
  server.requestTimeout = 0;
  // Later than a body's own silence is told.
  server.timeout = 3 * silentMs;
  // Beyond what `doorkeeper` answers: those that shake hands for TLS, or hear why they may not come in.
  server.maxConnections = connectionsInAll + 100;
  server.keepAliveTimeout = 75_000;
  server.maxRequestsPerSocket = 0;
  server.on('clientError', (_, socket) => {
    if (socket.writable) socket.end('HTTP/1.1 400 Bad Request\r\nconnection: close\r\n\r\n');
    else socket.destroy();
  });
}

/** Answers a connection too many with one sentence, and closes it. */
function doorkeeper({ connectionsPerAddress, connectionsInAll }: ConnectionLimits): (socket: Socket) => void {
  const ofAddress = new Map<string, number>();
  let inAll = 0;
  return (socket) => {
    const address = socket.remoteAddress ?? '';
    const open = ofAddress.get(address) ?? 0;
    if (open >= connectionsPerAddress || inAll >= connectionsInAll) {
      socket.end(tooMany);
      socket.setTimeout(1000, () => socket.destroy());
      return;
    }
    inAll++;
    ofAddress.set(address, open + 1);
    socket.once('close', () => {
      inAll--;
      const left = (ofAddress.get(address) ?? 1) - 1;
      if (left > 0) ofAddress.set(address, left);
      else ofAddress.delete(address);
    });
  };
}

const tooManyBody = JSON.stringify({
  code: 'open',
  reason: 'The studio server has as many connections open as it can hold. It is tried again soon.',
});
const tooMany = [
  'HTTP/1.1 503 Service Unavailable',
  'content-type: application/json; charset=utf-8',
  `content-length: ${Buffer.byteLength(tooManyBody)}`,
  'retry-after: 10',
  'connection: close',
  '',
  tooManyBody,
].join('\r\n');

function bind(server: Server, host: string, port: number): Promise<boolean> {
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => {
      if (error.code === 'EADDRNOTAVAIL' || error.code === 'EAFNOSUPPORT') resolve(false);
      else reject(new Error(explain(error, port), { cause: error }));
    });
    // `::` alone would take the IPv4 addresses too, and leave none for `0.0.0.0`.
    server.listen({ port, host, ipv6Only: host === '::' }, () => resolve(true));
  });
}

function explain(error: NodeJS.ErrnoException, port: number): string {
  if (error.code === 'EADDRINUSE') {
    return `Port ${port} is in use by another program. Stop that one, or give another port with --port.`;
  }
  if (error.code === 'EACCES') return `This user may not listen on port ${port}. Give another with --port.`;
  return `Port ${port} cannot be listened on: ${error.message}.`;
}

/** Requests under way are finished; after five seconds the rest is cut. */
function closeServer(server: Server): Promise<void> {
  return new Promise((resolve) => {
    const cut = setTimeout(() => server.closeAllConnections(), 5000);
    // A connection falls idle when its last answer is out, which is after this.
    const sweep = setInterval(() => server.closeIdleConnections(), 50);
    server.close(() => {
      clearTimeout(cut);
      clearInterval(sweep);
      resolve();
    });
  });
}
