/** What tests ask of a studio server, as tablets do, and as nobody should. */
import { connect, type Socket } from 'node:net';
import { makePass } from '../../src/server/passes.ts';
import type { Pass } from '../../src/server/store/types.ts';
import type { TestStudio } from './studio-server.ts';

export const ask = (studio: TestStudio, path: string, init: RequestInit = {}): Promise<Response> =>
  fetch(new URL(path, studio.url), init);

export const json = (method: string, value: unknown, headers: Record<string, string> = {}): RequestInit => ({
  method,
  headers: { 'content-type': 'application/json', ...headers },
  body: JSON.stringify(value),
});

/** A tablet that has joined; its person is `person-NAME`. */
export async function joined(
  studio: TestStudio,
  name: string,
  role: Pass['role'],
  owner = false,
): Promise<{ cookie: string; pass: Pass; writer: { id: string; name: string; role: Pass['role'] } }> {
  const { code, pass } = await makePass(studio.studio.store, { name, role, owner }, Date.now());
  const response = await ask(studio, 'api/join', json('POST', { code, person: `person-${name}` }));
  const cookie = response.headers.get('set-cookie')?.split(';')[0] ?? '';
  return { cookie, pass, writer: { id: `person-${name}`, name, role } };
}

export interface RawClient {
  readonly socket: Socket;
  /** All that came so far. */
  said(): string;
  /** Resolves to all that came, once the server has closed. */
  readonly closed: Promise<string>;
}

/** Bytes as given, which `fetch` would not send. */
export function rawClient(studio: TestStudio, text = ''): RawClient {
  let said = '';
  const socket = connect(Number(studio.url.port), '127.0.0.1', () => socket.write(text, 'latin1'));
  socket.on('data', (piece) => {
    said += piece.toString('latin1');
  });
  socket.on('error', () => undefined);
  return {
    socket,
    said: () => said,
    closed: new Promise((resolve) => socket.on('close', () => resolve(said))),
  };
}
