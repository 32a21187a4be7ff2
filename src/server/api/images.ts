/** Pictures by their SHA-256: fetched whole or in ranges, sent whole or in pieces. */

import { isSha256, readContentRange } from '../../wire/images.ts';
import { type Exchange, type Route, sendJson } from '../exchange.ts';
import { Refusal } from '../refusal.ts';
import type { ApiNeeds } from './needs.ts';

export function imageRoutes({ images, limits }: ApiNeeds): Route[] {
  const owner = ({ pass }: Exchange): string => pass?.id ?? 'this machine';
  const sha = ({ params }: Exchange): string => {
    if (isSha256(params.sha256 ?? '')) return params.sha256 as string;
    throw new Refusal(404, 'missing', 'Pictures are named by their SHA-256.');
  };
  return [
    {
      method: 'GET',
      path: '/api/images/:sha256',
      handle: (exchange) => images.send(exchange.request, exchange.response, sha(exchange)),
    },
    {
      method: 'GET',
      path: '/api/images/:sha256/upload',
      async handle(exchange) {
        sendJson(exchange.response, 200, await images.uploaded(sha(exchange), owner(exchange)));
      },
    },
    {
      method: 'PUT',
      path: '/api/images/:sha256',
      async handle(exchange) {
        const { request, response } = exchange;
        // Sent though it is here already: someone doubts it, so its bytes are read again.
        if (await images.sound(sha(exchange))) {
          sendJson(response, 200, { whole: true });
          return;
        }
        const { start, total } = announced(request.headers, limits.imageBytes);
        const whole = await images.receive(request, sha(exchange), owner(exchange), start, total);
        sendJson(response, whole ? 201 : 202, { whole });
      },
    },
  ];
}

/** Which bytes of the picture are sent, and how long it is. */
function announced(
  headers: { 'content-range'?: string; 'content-length'?: string },
  maxBytes: number,
): { start: number; total: number } {
  const said = readContentRange(headers['content-range'], headers['content-length']);
  if (!said) throw new Refusal(411, 'length', 'Say how long the picture is, and which bytes of it are sent.');
  if (said.total <= maxBytes) return said;
  throw new Refusal(413, 'too long', `A picture may have 1 to ${Math.floor(maxBytes / 1e6)} million bytes.`);
}
