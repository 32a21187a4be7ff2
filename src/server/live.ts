/**
 * Hints to tablets that listen (server-sent events): that something is new, never the thing itself. A tablet
 * that missed one pulls at its next start, so hints may be lost and never hurt.
 */
import type { ServerResponse } from 'node:http';
import type { Hint } from '../wire/hints.ts';

export interface Live {
  /** Keeps the response open. `stillMay` is asked before each heartbeat: a revoked pass hears no more. */
  open(response: ServerResponse, stillMay: () => boolean): void;
  tell(hint: Hint): void;
  readonly listeners: number;
  close(): void;
}

/** A tablet that does not read is cut off: it will come back and pull. */
const MAX_WAITING_BYTES = 256 * 1024;

export function live(heartbeatMs: number): Live {
  const open = new Map<ServerResponse, () => boolean>();
  const send = (response: ServerResponse, text: string): void => {
    if (response.writableLength > MAX_WAITING_BYTES) response.destroy();
    else response.write(text);
  };
  const beat = setInterval(() => {
    for (const [response, stillMay] of open) {
      if (stillMay()) send(response, ': still here\n\n');
      else response.end();
    }
  }, heartbeatMs);
  beat.unref();

  return {
    open(response, stillMay) {
      response.writeHead(200, {
        'content-type': 'text/event-stream; charset=utf-8',
        'cache-control': 'no-store',
        // A reverse proxy must pass hints on as they come.
        'x-accel-buffering': 'no',
      });
      response.write(': open\n\n');
      response.socket?.setNoDelay(true);
      open.set(response, stillMay);
      response.on('close', () => open.delete(response));
    },
    tell(hint) {
      const text = `event: hint\ndata: ${JSON.stringify(hint)}\n\n`;
      for (const response of open.keys()) send(response, text);
    },
    get listeners() {
      return open.size;
    },
    close() {
      clearInterval(beat);
      for (const response of open.keys()) response.end();
    },
  };
}
