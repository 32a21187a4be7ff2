/** A PostgreSQL of the test's own: Debian's, installed where that may be, in a folder of its own, on a Unix socket only. */
import { spawnSync } from 'node:child_process';
import { chownSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { type Started, start } from '../engines/ended.ts';
import { aptInstall, type Installer, thisInstaller } from './debian.ts';

/** Debian's folder: one a version, programs in `bin`. */
const debianFolder = '/usr/lib/postgresql';

/** What was found, or the line that says why there is none. */
export type FoundPostgres = { readonly programs: string } | { readonly lacking: string };

/** Where PostgreSQL is looked for, and what it is installed with; tests put their own in its place. */
export interface PostgresMachine extends Installer {
  readonly folder: string;
}

/** The newest version's programs. */
export function findPostgres(
  { folder }: Pick<PostgresMachine, 'folder'> = { folder: debianFolder },
): FoundPostgres {
  const versions = readdirs(folder).filter((name) => Number(name) >= 14);
  const newest = versions.sort((a, b) => Number(b) - Number(a))[0];
  if (newest !== undefined) return { programs: join(folder, newest, 'bin') };
  return {
    lacking:
      'PostgreSQL (14 or newer) is not here, so its tests are skipped. `npm test` installs it where it may; on Debian: apt-get install postgresql.',
  };
}

/** The same, installed first where there is none. Debian's package starts one of its own, too, which no test touches. */
export function installedPostgres(
  machine: PostgresMachine = { folder: debianFolder, ...thisInstaller() },
): FoundPostgres {
  const found = findPostgres(machine);
  if ('programs' in found || !aptInstall(machine, 'postgresql')) return found;
  return findPostgres(machine);
}

function readdirs(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch {
    return [];
  }
}

export interface OwnPostgres {
  /** Makes an empty database; resolves to its address. */
  database(name: string): Promise<string>;
  /** Without a warning, in the middle of all that it was doing; `start` brings it back. */
  kill(): Promise<void>;
  start(): Promise<void>;
  /** Ends it and removes its folder. */
  end(): Promise<void>;
}

/** Rejects with what PostgreSQL wrote when it does not start. */
export async function startPostgres(programs: string): Promise<OwnPostgres> {
  const folder = mkdtempSync(join(tmpdir(), 'fairpeg-postgres-'));
  // PostgreSQL does not run as root: Debian's package brings a user for it.
  const user = process.getuid?.() === 0 ? userNamed('postgres') : undefined;
  if (user) chownSync(folder, user.uid, user.gid);
  const as = user
    ? ['setpriv', `--reuid=${user.uid}`, `--regid=${user.gid}`, '--clear-groups']
    : ([] as const);
  const run = (program: string, ...args: readonly string[]): string => {
    const [command = '', ...rest] = [...as, join(programs, program), ...args];
    const { status, stdout, stderr, error } = spawnSync(command, rest, { encoding: 'utf8', cwd: folder });
    if (status !== 0) throw new Error(`${program} failed: ${error?.message ?? stderr}`);
    return stdout;
  };
  const data = join(folder, 'data');
  run('initdb', '-D', data, '-U', 'postgres', '-A', 'trust', '-E', 'UTF8', '--no-locale', '--no-sync');
  let server: Started | undefined;
  const addressOf = (name: string): string => `postgresql:///${name}?host=${folder}&user=postgres`;
  const ownStart = async (...more: readonly string[]): Promise<void> => {
    const [command = '', ...rest] = [
      ...as,
      join(programs, 'postgres'),
      '-D',
      data,
      '-k',
      folder,
      '-h',
      '',
      ...more,
    ];
    server = start(command, rest);
    for (const startedMs = performance.now(); ; ) {
      try {
        run('psql', '-h', folder, '-U', 'postgres', '-c', 'SELECT 1');
        return;
      } catch (error) {
        if (performance.now() - startedMs > 120_000)
          throw new Error(`PostgreSQL did not start: ${server.said()}`, { cause: error });
        await delay(100);
      }
    }
  };
  await ownStart();
  return {
    async database(name) {
      run('createdb', '-h', folder, '-U', 'postgres', name);
      return addressOf(name);
    },
    async kill() {
      await server?.kill();
    },
    // The machine went on, so all that was written is in its files: they are not each brought to the disk first.
    start: () => ownStart('-c', 'fsync=off'),
    async end() {
      await server?.end();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

function userNamed(name: string): { uid: number; gid: number } {
  const id = (what: string): number => Number(spawnSync('id', [what, name], { encoding: 'utf8' }).stdout);
  return { uid: id('-u'), gid: id('-g') };
}
