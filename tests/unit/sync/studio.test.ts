// A studio that stops talking in the middle, as a network does that dies without a word.
import { createServer, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { studioAt } from '../../../src/sync/studio.ts';

describe('a studio that falls silent', () => {
  let answer: (response: ServerResponse) => void;
  let server: ReturnType<typeof createServer>;
  let base: URL;
  let studio: ReturnType<typeof studioAt>;
  beforeEach(async () => {
    server = createServer((_, response) => answer(response));
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
    base = new URL(`http://127.0.0.1:${(server.address() as AddressInfo).port}/`);
    studio = studioAt(base, fetch, 300);
  });
  afterEach(
    () =>
      new Promise<void>((done) => {
        server.close(() => done());
        server.closeAllConnections();
      }),
  );

  test('before its answer: the call ends, as worth trying again', async () => {
    answer = () => undefined;
    await expect(studio.me()).rejects.toMatchObject({ code: 'offline' });
    await expect(studio.post([])).rejects.toMatchObject({ code: 'offline' });
    await expect(studio.image('0', 0)).rejects.toMatchObject({ code: 'offline' });
    await expect(studio.live(new AbortController().signal)).rejects.toMatchObject({ code: 'offline' });
  });

  test('in the middle of its answer: what came is handed on, then the call ends', async () => {
    answer = (response) => {
      response.writeHead(200, { 'content-type': 'application/json', 'content-length': '100' });
      response.write('{"server":');
    };
    await expect(studio.me()).rejects.toMatchObject({ code: 'offline' });
    const { from, pieces } = await studio.image('0', 4);
    expect(from).toBe(0);
    let came = 0;
    const read = async (): Promise<void> => {
      for await (const piece of pieces) came += piece.byteLength;
    };
    await expect(read()).rejects.toMatchObject({ code: 'offline' });
    expect(came).toBe(10);
  });

  test('a long answer that goes on is never cut short', async () => {
    answer = (response) => {
      response.writeHead(206, { 'content-length': '6' });
      let left = 6;
      const timer = setInterval(() => {
        response.write('x');
        if (--left === 0) clearInterval(timer);
      }, 500);
    };
    const { from, pieces } = await studioAt(base, fetch, 2500).image('0', 4);
    expect(from).toBe(4);
    let came = 0;
    for await (const piece of pieces) came += piece.byteLength;
    expect(came).toBe(6);
  });

  test('a list that takes longer than the silence allowed is read to its end', async () => {
    const text = JSON.stringify({ entries: [], seals: [], cursor: 0, more: false, at: null }).padEnd(600);
    answer = (response) => {
      response.writeHead(200, { 'content-type': 'application/json', 'content-length': String(text.length) });
      let sent = 0;
      const timer = setInterval(() => {
        response.write(text.slice(sent, (sent += 100)));
        if (sent >= text.length) clearInterval(timer);
      }, 500);
    };
    const began = performance.now();
    expect((await studioAt(base, fetch, 2500).entriesAfter('shot-1', 0)).more).toBe(false);
    expect(performance.now() - began).toBeGreaterThan(2500);
  });
});
