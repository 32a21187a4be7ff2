/** Puts a studio on ports, and takes it off again without cutting anyone short. */
import { createServer, type RequestListener, type Server } from 'node:http';
import { createServer as createSecureServer, type ServerOptions } from 'node:https';
import type { AddressInfo } from 'node:net';

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
}

/** Rejects with one sentence when the port is taken or may not be used. */
export async function listen({ handle, hosts, port, tls }: ListenOptions): Promise<Listening> {
  const servers: Server[] = [];
  let taken = port;
  try {
    for (const host of hosts) {
      const server = tls ? createSecureServer(tls, handle) : createServer(handle);
      tame(server);
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
function tame(server: Server): void {
  server.headersTimeout = 20_000;
  // A drawing of 100 MB over a weak wireless network.
  server.requestTimeout = 600_000;
  server.keepAliveTimeout = 75_000;
  server.maxRequestsPerSocket = 0;
  server.on('clientError', (_, socket) => {
    if (socket.writable) socket.end('HTTP/1.1 400 Bad Request\r\nconnection: close\r\n\r\n');
    else socket.destroy();
  });
}

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
