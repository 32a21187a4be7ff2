/** The keeper that a server was told to use, and whether it is the right one. */
import { mkdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { BucketRefusal } from './bucket.ts';
import { bucketKeeper } from './bucket-keeper.ts';
import { folderKeeper } from './folder-keeper.ts';
import { type Keeper, KeeperAway } from './keeper.ts';
import type { PicturePlace } from './picture-place.ts';

export interface KeeperNeeds {
  /** The server's data folder. */
  readonly data: string;
  /** Absent: in the data folder. */
  readonly pictures?: PicturePlace | undefined;
  /** Of several servers, which may share the data folder. */
  readonly database?: string | undefined;
  /** Of the studio's seal: it tells whose pictures lie somewhere. */
  readonly mark: string;
  readonly log?: (line: string) => void;
}

/** The server remembers here that its pictures lie elsewhere. */
export const elsewhereFile = (data: string): string => join(data, 'pictures.txt');

/**
 * Rejects with one sentence where the place is not one that pictures can be kept at, or not the one where this studio's lie.
 * An object store that does not answer now is none: it may come.
 */
export async function openKeeper(needs: KeeperNeeds): Promise<Keeper> {
  const { data, pictures, mark, log = () => undefined } = needs;
  const keeper = await keeperAt(needs);
  try {
    await refuseMoved(keeper);
    const elsewhere = await readFile(elsewhereFile(data), 'utf8').catch(() => undefined);
    if (!pictures) {
      if (elsewhere !== undefined)
        throw new Error(
          `This studio’s pictures lie in ${elsewhere.trim()}: give that place with --pictures or PICTURES_URL. To start with none, and have them put up again by the tablets, remove ${elsewhereFile(data)}.`,
        );
      return keeper;
    }
    await checkMark(keeper, mark, elsewhere === undefined ? undefined : elsewhereFile(data));
    if (elsewhere?.trim() !== keeper.place) await rememberElsewhere(data, keeper.place);
    return keeper;
  } catch (error) {
    if (
      error instanceof KeeperAway &&
      !(error instanceof BucketRefusal) &&
      pictures &&
      'bucket' in pictures
    ) {
      log(`${error.why} The server starts without its pictures, and goes on with them once they are there.`);
      return keeper;
    }
    await keeper.close();
    throw error instanceof KeeperAway ? new Error(error.why, { cause: error }) : error;
  }
}

/** Without a look at what is there. */
export async function keeperAt({
  data,
  pictures,
  database,
  log = () => undefined,
}: KeeperNeeds): Promise<Keeper> {
  const own = join(data, 'images');
  if (!pictures) return folderKeeper(own, { log, several: database !== undefined });
  if ('bucket' in pictures) return bucketKeeper(pictures.bucket, join(own, 'parts'), log);
  const { folder } = pictures;
  if (!(await stat(folder).catch(() => undefined))?.isDirectory())
    throw new Error(
      `There is no folder ${folder} for pictures. Make or mount it, or give another with --pictures.`,
    );
  return folderKeeper(folder, { shared: true, log });
}

export async function rememberElsewhere(data: string, place: string | undefined): Promise<void> {
  if (place === undefined) return rm(elsewhereFile(data), { force: true });
  await mkdir(data, { recursive: true, mode: 0o700 });
  await writeFile(elsewhereFile(data), `${place}\n`, { flush: true });
}

async function refuseMoved(keeper: Keeper): Promise<void> {
  const moved = await keeper.note('moved');
  if (moved === undefined) return;
  throw new Error(
    `The pictures in ${keeper.place} were moved to ${moved.trim()}; they are kept there, and nothing was changed here. Start the server with --pictures (or PICTURES_URL) for that place.`,
  );
}

/** Writes it where there is none. `remembered`: a file that says that there was one; else it is the first start there. */
export async function checkMark(keeper: Keeper, mark: string, remembered: string | undefined): Promise<void> {
  const found = (await keeper.note('mark'))?.trim();
  if (found !== undefined && found !== mark)
    throw new Error(
      `In ${keeper.place} lie pictures of another studio (its fairpeg-mark.txt is another’s). Give this one a place of its own with --pictures, or put the seal.key of your backup into the data folder.`,
    );
  if (found === undefined && remembered !== undefined)
    throw new Error(
      `In ${keeper.place} nothing of this studio’s pictures is to be seen (there is no fairpeg-mark.txt). Look whether it is mounted, and the right one. To start with none, and have them put up again by the tablets, remove ${remembered}.`,
    );
  // Written again at each start: so it shows whether it can be.
  await keeper.setNote('mark', `${mark}\n`).catch((error: unknown) => {
    if (error instanceof KeeperAway) throw error;
    throw new Error(
      `Nothing can be written in ${keeper.place} (${(error as Error).message}). Let the server’s user write there, or give another place with --pictures.`,
      { cause: error },
    );
  });
  for await (const _ of keeper.names()) break;
}
