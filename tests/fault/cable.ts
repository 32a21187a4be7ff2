/** The network between a server and its database, which a test cuts: a TCP port that leads to PostgreSQL's Unix socket. */
import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

export interface Cable {
  readonly port: number;
  /**
   * `refused`: all connections break, and new ones are refused by the far end. `silent`: nothing comes through any more,
   * and nobody is told, as when a switch dies.
   */
  cut(how: 'refused' | 'silent'): void;
  /** New connections go through again; those that were silent are gone. */
  mend(): void;
  close(): Promise<void>;
}

export async function cableTo(socketPath: string): Promise<Cable> {
  const ends = new Set<Socket>();
  let state: 'whole' | 'refused' | 'silent' = 'whole';
  const keep = (socket: Socket): void => {
    ends.add(socket);
    socket.on('error', () => undefined);
    socket.on('close', () => ends.delete(socket));
  };
  const server = createServer((near) => {
    keep(near);
    if (state === 'refused') near.destroy();
    if (state !== 'whole') return;
    const far = connect(socketPath);
    keep(far);
    for (const [from, to] of [
      [near, far],
      [far, near],
    ] as const) {
      from.on('data', (piece) => {
        if (state !== 'silent') to.write(piece);
      });
      from.on('close', () => {
        if (state !== 'silent') to.destroy();
      });
    }
  });
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  const breakAll = (): void => {
    for (const end of ends) end.destroy();
  };
  return {
    port: (server.address() as AddressInfo).port,
    cut(how) {
      state = how;
      if (how === 'refused') breakAll();
    },
    mend() {
      breakAll();
      state = 'whole';
    },
    async close() {
      breakAll();
      await new Promise((closed) => server.close(closed));
    },
  };
}
