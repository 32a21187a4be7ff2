/** A network of the test's own between one tablet and the studio server: passed on, cut or doubled as the test decides. */
import {
  request as ask,
  type ClientRequest,
  createServer,
  type IncomingMessage,
  type ServerResponse,
} from 'node:http';
import type { AddressInfo } from 'node:net';
import { buffer } from 'node:stream/consumers';

/**
 * How one request fares: `lost` is done by the server and its answer never heard, `twice` is delivered twice
 * and the second answer heard, `torn` breaks off in the middle of the request, `dead` too but the server is not
 * told, `half` breaks off in the middle of the answer, `garbled` has one byte of its answer changed.
 */
export type Fate = 'through' | 'lost' | 'twice' | 'torn' | 'dead' | 'half' | 'garbled';

export interface Wire {
  /** Where the tablet finds the studio. Stays the same whatever becomes of the server. */
  readonly url: string;
  /** Decides each request's fate, at once or later; `through` unless set. */
  fate: (method: string, path: string) => Fate | Promise<Fate>;
  /** `METHOD path fate` of every request, once its fate is decided; a range asked for stands behind. */
  readonly asked: string[];
  /** False: nothing comes through, and what was open breaks. */
  up(is: boolean): void;
  close(): Promise<void>;
}

/** `port`: where the server is now. */
export async function wire(port: () => number): Promise<Wire> {
  let isUp = true;
  const asked: string[] = [];
  const dead: ClientRequest[] = [];

  /** Sends `sent` bytes of the body on; all of it unless told. A tablet that hangs up ends it. */
  const deliver = (response: ServerResponse, body: Buffer, sent = body.length): Promise<IncomingMessage> =>
    new Promise((heard, failed) => {
      const { method, url: path, headers } = response.req;
      const going = ask({ host: '127.0.0.1', port: port(), method, path, headers }, heard);
      going.on('error', failed);
      response.on('close', () => going.destroy());
      if (sent === body.length) going.end(body);
      else going.write(body.subarray(0, sent), () => setImmediate(() => going.destroy(new Error('torn'))));
    });

  async function pass(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const { method = 'GET', url = '/', headers } = request;
    const [path = ''] = url.split('?');
    const body = await buffer(request);
    const fate = await self.fate(method, path);
    asked.push([method, path, fate, headers.range].filter(Boolean).join(' '));
    if (fate === 'dead') {
      const going = ask({ host: '127.0.0.1', port: port(), method, path: url, headers });
      going.on('error', () => undefined);
      dead.push(going);
      await new Promise((sent) => going.write(body.subarray(0, body.length >> 1), sent));
      throw new Error('dead');
    }
    if (fate === 'twice') await buffer(await deliver(response, body));
    const answer = await deliver(response, body, fate === 'torn' ? body.length >> 1 : body.length);
    if (fate === 'lost') {
      await buffer(answer);
      throw new Error('lost');
    }
    response.writeHead(answer.statusCode ?? 502, answer.headers);
    if (fate === 'half' || fate === 'garbled') {
      const whole = await buffer(answer);
      const middle = whole.length >> 1;
      // A page that has not read yet when its stream breaks loses what had arrived: it is given time to.
      if (fate === 'half')
        response.write(whole.subarray(0, middle), () => void setTimeout(() => response.destroy(), 3000));
      else {
        whole.writeUInt8(whole.readUInt8(middle) ^ 1, middle);
        response.end(whole);
      }
      return;
    }
    answer.on('error', () => response.destroy());
    answer.pipe(response);
  }

  const server = createServer((request, response) => {
    // The tablet may hang up at any moment.
    request.on('error', () => undefined);
    response.on('error', () => undefined);
    if (!isUp) request.socket.destroy();
    // Whatever breaks behind the wire is, for the tablet, a connection that broke.
    else pass(request, response).catch(() => request.socket.destroy());
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const self: Wire = {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/`,
    fate: () => 'through',
    asked,
    up(is) {
      isUp = is;
      if (!is) server.closeAllConnections();
    },
    close: () =>
      new Promise((done) => {
        for (const going of dead) going.destroy();
        server.close(() => done());
        server.closeAllConnections();
      }),
  };
  return self;
}
