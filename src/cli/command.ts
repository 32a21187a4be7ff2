/** What the commands of the prompt share: how a command line is read, and what is said of one that cannot be. */
import { print } from './print.ts';

/** What is wrong with the command line, in one sentence. */
export class UsageError extends Error {}

interface Command<Wanted> {
  readonly name: string;
  /** What `--help` prints. */
  readonly usage: string;
  /** `undefined` when help is asked for. Rejects with a `UsageError`. */
  readonly read: (args: readonly string[]) => Wanted | undefined | Promise<Wanted | undefined>;
  /** Resolves to the exit code. */
  readonly work: (wanted: Wanted) => Promise<number>;
}

/** Resolves to the exit code: 2 for a command line that cannot be read, 0 for help, else what `work` says. */
export async function runCommand<Wanted>(
  { name, usage, read, work }: Command<Wanted>,
  args: readonly string[],
): Promise<number> {
  try {
    const wanted = await read(args);
    if (wanted !== undefined) return await work(wanted);
    print(process.stdout, usage);
    return 0;
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    print(process.stderr, `fairpeg ${name}: ${error.message}\nSee fairpeg ${name} --help.`);
    return 2;
  }
}

/** What `parse` (of `parseArgs`) gives; what it will not take becomes a `UsageError`. */
export function understood<T>(parse: () => T): T {
  try {
    return parse();
  } catch (error) {
    throw new UsageError(error instanceof Error ? error.message : String(error));
  }
}

/** The one shot that a command is for. `what` may be named. Throws a `UsageError` for none and for several. */
export function oneShot(
  [shot, ...more]: readonly string[],
  what = 'the folder of a shot, or a pack',
): string {
  if (shot === undefined) throw new UsageError(`Name ${what}.`);
  if (more.length > 0) throw new UsageError(`One shot at a time: “${more[0]}” is one too many.`);
  return shot;
}

export type PrintPaper = 'A4' | 'Letter';

/** Throws a `UsageError` for any other. */
export function printPaper(name: string): PrintPaper {
  if (name !== 'A4' && name !== 'Letter') throw new UsageError(`--paper is A4 or Letter, not “${name}”.`);
  return name;
}
