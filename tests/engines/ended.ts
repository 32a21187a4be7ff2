/**
 * Processes that a test starts, each ended with its children, also when the test fails or the run is killed: a watcher
 * in the same group reads a pipe from the test, and ends the group when that pipe does.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { setTimeout as delay } from 'node:timers/promises';

/** `sh` becomes the command itself; the watcher keeps none of its streams open. */
const watched = 'exec 3<&0 </dev/null; (cat <&3; kill -KILL 0) >/dev/null 2>&1 & exec 3<&-; exec "$@"';

const kill = (child: ChildProcess, signal: NodeJS.Signals): void => {
  if (child.pid === undefined) return;
  try {
    // Its whole group: a browser is many processes.
    process.kill(-child.pid, signal);
  } catch {
    // Gone already.
  }
};

export interface Started {
  /** What it wrote so far, both ways. */
  readonly said: () => string;
  /** Resolves when it and all that it started is gone. */
  end(): Promise<void>;
  /** The same, without a warning. */
  kill(): Promise<void>;
}

export function start(
  command: string,
  args: readonly string[],
  env: Readonly<Record<string, string | undefined>> = process.env,
): Started {
  const child = spawn('/bin/sh', ['-c', watched, 'sh', command, ...args], {
    env,
    detached: true,
    stdio: ['pipe', 'pipe', 'pipe'],
  });
  let said = '';
  for (const stream of [child.stdout, child.stderr])
    stream.on('data', (data: Buffer) => {
      said = (said + data.toString()).slice(-20_000);
    });
  // Nothing is written to it; its end is what tells.
  child.stdin.on('error', () => undefined);
  child.once('error', (error) => {
    said += error.message;
  });
  const gone = new Promise<void>((done) => {
    child.once('close', () => done());
    child.once('error', () => done());
  });
  return {
    said: () => said,
    async end() {
      kill(child, 'SIGTERM');
      await Promise.race([gone, delay(3000)]);
      kill(child, 'SIGKILL');
      child.stdin.destroy();
    },
    async kill() {
      kill(child, 'SIGKILL');
      await gone;
      child.stdin.destroy();
    },
  };
}

/** Asks until there is an answer; throws `what` after `longestMs`. */
export async function untilThere<T>(
  what: string,
  longestMs: number,
  look: () => Promise<T | undefined> | T | undefined,
): Promise<T> {
  for (const startMs = Date.now(); Date.now() - startMs < longestMs; await delay(100)) {
    const found = await look();
    if (found !== undefined) return found;
  }
  throw new Error(what);
}
