/**
 * Hints to tablets that listen (server-sent events): that something is new, never the thing itself. A tablet
 * that missed one pulls at its next start, so hints may be lost and never hurt.
 */
import type { ServerResponse } from 'node:http';
import type { Hint } from '../wire/hints.ts';

export interface Live {
  /** Keeps the response open until its tablet goes, or someone ends it. */
  open(response: ServerResponse): void;
  tell(hint: Hint): void;
  readonly listeners: number;
  /** Says so to everyone, and ends. */
  close(): void;
}

/** A tablet that does not read is cut off: it will come back and pull. */
const MAX_WAITING_BYTES = 256 * 1024;

export function live(heartbeatMs: number): Live {
  const open = new Set<ServerResponse>();
  const send = (response: ServerResponse, text: string): void => {
    if (response.writableEnded) return;
    if (response.writableLength > MAX_WAITING_BYTES) response.destroy();
    else response.write(text);
  };
  const beat = setInterval(() => {
    for (const response of open) send(response, ': still here\n\n');
  }, heartbeatMs);
  beat.unref();

  return {
    open(response) {
      response.writeHead(200, {
        'content-type': 'text/event-stream; charset=utf-8',
        'cache-control': 'no-store',
        // A reverse proxy must pass hints on as they come.
        'x-accel-buffering': 'no',
      });
      response.write(': open\n\n');
      response.socket?.setNoDelay(true);
      open.add(response);
      response.on('close', () => open.delete(response));
    },
    tell(hint) {
      const text = `event: hint\ndata: ${JSON.stringify(hint)}\n\n`;
      for (const response of open) send(response, text);
    },
    get listeners() {
      return open.size;
    },
    close() {
      clearInterval(beat);
      for (const response of open) response.end(': the studio server stops\n\n');
    },
  };
}
