import { NothingReadError } from '../intake/node/read-shot.ts';
import { OddFileError, sayOdd } from '../intake/source.ts';

/** A line to a stream. A reader that went away (`| head`) is no fault of the command. */
export function print(stream: NodeJS.WriteStream, text: string): void {
  stream.write(`${text}\n`);
}

/** What the system says in codes, and the way on. */
const systemSays: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file or folder; look whether the name is right',
  ENOTDIR: 'a part of this path is a file, no folder; look whether the name is right',
  EISDIR: 'this is a folder; name a file in it',
  EACCES: 'it may not be read or written; give this account the right to it, or name another',
  EPERM: 'it may not be read or written; give this account the right to it, or name another',
  EROFS: 'nothing can be written there; name another place',
  ENOSPC: 'the disk is full; free some room, then repeat: nothing else was changed',
  EMFILE: 'too many files are open on this machine; close some programs, then repeat',
};

/** Why, and the way on, without the file's name. */
export function reason(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  return systemSays[(error as NodeJS.ErrnoException).code ?? ''] ?? error.message;
}

/** One sentence for whoever typed the command. */
export function sentence(error: unknown): string {
  if (error instanceof NothingReadError)
    return [`${error.message}. ${error.todo}`, ...error.odd.map(sayOdd)].join('\n');
  if (error instanceof OddFileError) return `${error.message}. ${error.todo}`;
  const { code, path } = error as NodeJS.ErrnoException;
  return path !== undefined && systemSays[code ?? ''] ? `${path}: ${reason(error)}.` : reason(error);
}
