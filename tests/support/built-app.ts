/** The built app, made once and again when a source is newer. Several test files may ask at once. */
import { execFileSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';

export const ROOT = resolve(import.meta.dirname, '../..');
const DIST = join(ROOT, 'dist');
const APP = join(DIST, 'app');
const SOURCES = ['src', 'sw', 'public', 'sample-shots', 'vite.config.ts', 'package-lock.json'];

function newestMs(path: string): number {
  const found = statSync(path, { throwIfNoEntry: false });
  if (found === undefined) return 0;
  if (!found.isDirectory()) return found.mtimeMs;
  return Math.max(found.mtimeMs, ...readdirSync(path).map((name) => newestMs(join(path, name))));
}

const isAlive = (pid: number): boolean => {
  try {
    process.kill(pid, 0);
    return true;
  } catch {
    return false;
  }
};

/** Runs `work` while no other process of this kind does. A lock whose process is gone does not count. */
async function alone<T>(work: () => T): Promise<T> {
  mkdirSync(DIST, { recursive: true });
  const lock = join(DIST, 'build.lock');
  for (;;) {
    try {
      writeFileSync(lock, String(process.pid), { flag: 'wx' });
      break;
    } catch {
      const holder = statSync(lock, { throwIfNoEntry: false }) && Number(readFileSync(lock, 'utf8') || '-1');
      if (holder !== undefined && holder > 0 && !isAlive(holder)) rmSync(lock, { force: true });
      else await delay(100);
    }
  }
  try {
    return work();
  } finally {
    rmSync(lock, { force: true });
  }
}

const runBuild = (args: readonly string[]): void => {
  try {
    execFileSync('npx', ['tsx', 'src/app/build/build.ts', ...args], {
      cwd: ROOT,
      stdio: 'pipe',
      timeout: 300_000,
    });
  } catch (error) {
    const { stdout, stderr } = error as { stdout?: Buffer; stderr?: Buffer };
    throw new Error(`The app could not be built.\n${String(stdout)}\n${String(stderr)}`, { cause: error });
  }
};

/** The folder of the built app. */
export const builtApp = (): Promise<string> =>
  alone(() => {
    const stamp = join(DIST, 'built-from');
    const builtMs = Number(statSync(stamp, { throwIfNoEntry: false }) ? readFileSync(stamp, 'utf8') : 0);
    if (builtMs <= Math.max(...SOURCES.map((source) => newestMs(join(ROOT, source))))) {
      const startedMs = Date.now();
      runBuild([]);
      writeFileSync(stamp, String(startedMs));
    }
    return APP;
  });

/** A build of its own name in a folder of its own: a newer release, for tests of updates. */
export const namedBuild = (folder: string, name: string): Promise<void> =>
  alone(() => runBuild(['--out', folder, '--name', name]));
