/** `fairpeg serve`: the studio server, from the prompt to its last breath. */
import { resolve } from 'node:path';
import { readShot } from '../intake/node/read-shot.ts';
import { listen } from './listen.ts';
import { readServeOptions, serveHelp } from './options.ts';
import { openStudio } from './studio.ts';

const root = resolve(import.meta.dirname, '../..');
const say = (line: string): void => void process.stdout.write(`${line}\n`);
const warn = (line: string): void => void process.stderr.write(`${line}\n`);

/** Runs until it is told to stop. Resolves to the exit code. */
export async function serve(args: readonly string[]): Promise<number> {
  if (args.includes('--help')) {
    say(serveHelp);
    return 0;
  }
  const options = readServeOptions(args, root);
  const needsPass = options.network || options.behind !== undefined;
  const studio = await openStudio({
    app: options.app,
    data: options.data,
    shots: { folder: options.shots, readShot },
    needsPass,
    secure: false,
    log: warn,
  });
  const hosts = options.network ? ['0.0.0.0', '::'] : ['127.0.0.1', '::1'];
  const listening = await listen({ handle: studio.handle, hosts, port: options.port });
  say(`Fairpeg is at http://localhost:${listening.port}`);
  await toldToStop();
  await Promise.all([listening.close(), studio.close()]);
  return 0;
}

function toldToStop(): Promise<void> {
  return new Promise((stop) => {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.once(signal, () => stop());
  });
}
