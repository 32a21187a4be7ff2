/**
 * A studio server in a process of its own that is killed without warning, over and over, while clients post.
 * What a client was told is stored must be there afterwards.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import type { Entry } from '../../src/note/entry.ts';
import { ROOT } from '../support/built-app.ts';
import { numbersFrom } from '../support/random.ts';
import { temporaryFolder } from '../support/studio-server.ts';

export interface KillResult {
  readonly kills: number;
  readonly acknowledged: number;
  /** Requests whose answer never came: their entries may be there or not. */
  readonly cutOff: number;
  /** Ids acknowledged and not in the file afterwards. */
  readonly missing: readonly string[];
  /** Ids stored more than once. */
  readonly twice: readonly string[];
  /** What SQLite says of the file's integrity. */
  readonly integrity: string;
}

export interface KillPlan {
  readonly kills: number;
  /** Go on until so many entries were acknowledged, if the kills are done before. */
  readonly atLeast: number;
  readonly clients: number;
  /** A seed: the moments of the kills are random, and the same again. */
  readonly seed: number;
}

export interface OwnServer {
  readonly url: URL;
  readonly process: ChildProcess;
  /** All that it printed so far. */
  said(): string;
}

/** Starts the server as a user does, on a port of its own. `more`: further options. */
export function startServer(data: string, port = 0, more: readonly string[] = []): Promise<OwnServer> {
  const args = ['--import', 'tsx', 'src/cli/main.ts', 'serve', '--port', String(port), '--data', data];
  const shots = more.includes('--shots') ? [] : ['--shots', join(data, 'no-shots')];
  const server = spawn(process.execPath, [...args, ...shots, ...more], {
    cwd: ROOT,
    // The machine's own may name a database that is nobody's to test on.
    env: { ...process.env, DATABASE_URL: '' },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let said = '';
  return new Promise((started, failed) => {
    for (const stream of [server.stdout, server.stderr])
      stream.on('data', (piece) => {
        said += String(piece);
        const url = /Fairpeg is at (\S+)/.exec(said)?.[1];
        if (url) started({ url: new URL(url), process: server, said: () => said });
      });
    server.on('exit', () => failed(new Error(`The server did not start: ${said}`)));
  });
}

export async function killServer({ process: server }: OwnServer): Promise<void> {
  if (server.exitCode !== null || server.signalCode !== null) return;
  const gone = once(server, 'exit');
  server.kill('SIGKILL');
  await gone;
}

export async function killOverAndOver(plan: KillPlan): Promise<KillResult> {
  const folder = temporaryFolder();
  const random = numbersFrom(plan.seed);
  const acknowledged = new Set<string>();
  let cutOff = 0;
  let server = await startServer(folder);
  const port = Number(server.url.port);
  const end = new AbortController();

  const client = async (name: string): Promise<void> => {
    for (let n = 0; !end.signal.aborted; n++) {
      const entries = Array.from({ length: 1 + Math.floor(random() * 20) }, (_, k) =>
        reply(`${name}-${n}-${k}`, n),
      );
      // Until it is acknowledged, the same request again: twice must be once.
      for (let answered = false; !answered && !end.signal.aborted; ) {
        const accepted = await post(server.url, entries);
        answered = accepted !== undefined;
        if (accepted) for (const id of accepted) acknowledged.add(id);
        else cutOff++;
      }
    }
  };
  const clients = Array.from({ length: plan.clients }, (_, n) => client(`client${n}`));

  let kills = 0;
  for (; kills < plan.kills || acknowledged.size < plan.atLeast; kills++) {
    const before = acknowledged.size;
    // At a random moment after it has answered something: a kill of a server that has stored nothing proves little.
    await waitUntil(() => acknowledged.size > before);
    await new Promise((resolve) => setTimeout(resolve, random() * 60));
    await killServer(server);
    server = await startServer(folder, port);
  }
  end.abort();
  await Promise.all(clients);
  await killServer(server);

  const db = new Database(join(folder, 'studio.sqlite'));
  const rows = db.prepare('SELECT id, count(*) AS times FROM entry GROUP BY id').all() as {
    id: string;
    times: number;
  }[];
  const stored = new Set(rows.map(({ id }) => id));
  const [{ integrity_check: integrity }] = db.prepare('PRAGMA integrity_check').all() as [
    { integrity_check: string },
  ];
  db.close();
  rmSync(folder, { recursive: true, force: true });
  return {
    kills,
    acknowledged: acknowledged.size,
    cutOff,
    missing: [...acknowledged].filter((id) => !stored.has(id)),
    twice: rows.filter(({ times }) => times > 1).map(({ id }) => id),
    integrity,
  };
}

export function reply(id: string, at: number): Entry {
  return {
    v: 1,
    id,
    shot: 'shot-1',
    writer: { id: 'person-1', name: 'Ana', role: 'artist' },
    stamp: { wallMs: at, counter: 0 },
    body: { kind: 'reply', to: 'pin-1', text: `The fold is on the left side now, as in drawing ${at}.` },
  };
}

/** Ids acknowledged; undefined when no whole answer came. */
async function post(url: URL, entries: readonly Entry[]): Promise<string[] | undefined> {
  try {
    const response = await fetch(new URL('api/entries', url), {
      method: 'POST',
      headers: { 'content-type': 'application/x-ndjson' },
      body: entries.map((entry) => JSON.stringify(entry)).join('\n'),
    });
    return ((await response.json()) as { accepted: string[] }).accepted;
  } catch {
    // While the server is away, not every few microseconds again.
    await new Promise((resolve) => setTimeout(resolve, 20));
    return undefined;
  }
}

async function waitUntil(check: () => boolean): Promise<void> {
  while (!check()) await new Promise((resolve) => setTimeout(resolve, 5));
}
