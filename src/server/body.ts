/** A request's body, piece by piece: given up when nothing comes, and stopped when its sender may send no more. */
import type { IncomingMessage } from 'node:http';
import { Refusal } from './refusal.ts';

interface Guard {
  readonly silentMs: number;
  readonly stopped: Promise<never>;
  readonly stop: (why: Refusal) => void;
}

const guards = new WeakMap<IncomingMessage, Guard>();

/** A slow link is no fault: what counts is silence, however long the whole takes. */
export function guardBody(request: IncomingMessage, silentMs: number): void {
  let stop: Guard['stop'] = () => undefined;
  const stopped = new Promise<never>((_, reject) => {
    stop = reject;
  });
  // Most requests are stopped by nobody, and nobody waits for this then.
  stopped.catch(() => undefined);
  guards.set(request, { silentMs, stopped, stop });
}

/** Whoever reads the body hears `why` instead of its next piece. */
export function stopBody(request: IncomingMessage, why: Refusal): void {
  guards.get(request)?.stop(why);
}

/** The body's pieces. Throws a `Refusal` after silence and when stopped. What its reader leaves is read and thrown away. */
export async function* bodyPieces(request: IncomingMessage): AsyncGenerator<Buffer> {
  const guard = guards.get(request);
  const pieces = request.iterator({ destroyOnReturn: false }) as AsyncIterableIterator<Buffer>;
  try {
    for (;;) {
      const next = pieces.next();
      // Left behind when the guard speaks first: it ends with the connection.
      next.catch(() => undefined);
      const { value, done } = await (guard ? guarded(next, guard) : next);
      if (done) return;
      yield value;
    }
  } finally {
    void discard(pieces);
  }
}

async function discard(pieces: AsyncIterableIterator<Buffer>): Promise<void> {
  try {
    while (!(await pieces.next()).done);
  } catch {
    // The connection is gone.
  }
}

/**
 * A client that is still sending when it is refused gets a while to read why: closed at once, its system would
 * throw the answer away with the connection (RFC 9112, 9.6). What it sends meanwhile is thrown away.
 */
export function closeUnlessSent(request: IncomingMessage): void {
  if (request.complete) return;
  setTimeout(() => {
    if (!request.complete) request.socket.destroy();
  }, 5000).unref();
}

async function guarded<T>(next: Promise<T>, { silentMs, stopped }: Guard): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const silence = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(silent(silentMs)), silentMs);
  });
  try {
    return await Promise.race([stopped, next, silence]);
  } finally {
    clearTimeout(timer);
  }
}

function silent(silentMs: number): Refusal {
  return new Refusal(
    408,
    'silent',
    `Nothing came from the tablet for ${Math.ceil(silentMs / 1000)} seconds; what it had sent of a picture is kept, and it is sent again.`,
    { connection: 'close' },
  );
}
