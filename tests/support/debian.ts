/** Installs packages of Debian and its kin, where this process may. */
import { spawnSync } from 'node:child_process';

/** Who asks, and with what; tests put their own in its place. */
export interface Installer {
  readonly env: Readonly<Record<string, string | undefined>>;
  readonly isRoot: boolean;
}

export const thisInstaller = (): Installer => ({ env: process.env, isRoot: process.getuid?.() === 0 });

/** Whether a command ended well; what it says is shown. */
export const ranWell = (
  { env }: Pick<Installer, 'env'>,
  command: string,
  ...args: readonly string[]
): boolean =>
  spawnSync(command, args, { env, stdio: ['ignore', 'inherit', 'inherit'], timeout: 600_000 }).status === 0;

/** False where there is no `apt-get`, no right to use it, or no network. */
export function aptInstall(installer: Installer, ...packages: readonly string[]): boolean {
  const apt = (...args: readonly string[]): boolean => {
    // Named to `env`, because sudo lets no variable through.
    const command = ['env', 'DEBIAN_FRONTEND=noninteractive', 'apt-get', ...args] as const;
    return installer.isRoot ? ranWell(installer, ...command) : ranWell(installer, 'sudo', '-n', ...command);
  };
  return apt('update') && apt('install', '-y', '--no-install-recommends', ...packages);
}
