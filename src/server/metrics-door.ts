/**
 * `GET /metrics`, only for whoever has the token of `FAIRPEG_METRICS_TOKEN`: without that setting there is nothing at this
 * address. An address on this machine proves nothing, since a proxy that stands here passes everybody on.
 */
import { createHash, timingSafeEqual } from 'node:crypto';
import type { IncomingMessage, ServerResponse } from 'node:http';
import type { Metrics } from './metrics.ts';
import { Refusal } from './refusal.ts';

export interface MetricsDoor {
  /** Undefined for any other path. */
  answer(request: IncomingMessage, response: ServerResponse, path: string): Promise<void> | undefined;
}

export function metricsDoor(token: string, metrics: Pick<Metrics, 'contentType' | 'text'>): MetricsDoor {
  const wanted = digest(`Bearer ${token}`);
  return {
    answer(request, response, path) {
      if (path !== '/metrics') return undefined;
      if (request.method !== 'GET' && request.method !== 'HEAD')
        throw new Refusal(405, 'method', 'Only GET works here.', { allow: 'GET, HEAD' });
      if (!timingSafeEqual(digest(request.headers.authorization ?? ''), wanted))
        throw new Refusal(401, 'token', 'The figures are told only to whoever has the token.', {
          'www-authenticate': 'Bearer',
        });
      return metrics.text().then((text) => {
        const body = Buffer.from(text);
        response.writeHead(200, {
          'content-type': metrics.contentType,
          'cache-control': 'no-store',
          'content-length': body.length,
        });
        response.end(request.method === 'HEAD' ? undefined : body);
      });
    },
  };
}

/** Of one length, whatever was given. */
const digest = (text: string): Buffer => createHash('sha256').update(text).digest();
