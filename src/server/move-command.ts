/**
 * `fairpeg move`: what a studio keeps, from the file in its data folder into PostgreSQL, and back; and its pictures from
 * where they lie to another place.
 */
import { mkdir } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { databaseAt } from './options.ts';
import { KeeperAway } from './pictures/keeper.ts';
import { movePictures } from './pictures/move-pictures.ts';
import { checkMark, keeperAt, rememberElsewhere } from './pictures/open-keeper.ts';
import { picturesAt } from './pictures/picture-place.ts';
import { openSeal } from './seal.ts';
import { type MoveResult, moveStore, type Source, type Target } from './store/move.ts';
import type { Moved } from './store/moved.ts';
import { storeFile } from './store/open-store.ts';
import { withoutPassword } from './store/postgres/database.ts';
import { postgresSource, postgresTarget } from './store/postgres/postgres-move.ts';
import { sqliteSource, sqliteTarget } from './store/sqlite-move.ts';

export const moveHelp = `fairpeg move to-database     notes, passes and shots, from the data folder's file into PostgreSQL
fairpeg move to-file         the same, back
fairpeg move pictures        pictures, from one place to another

  --data FOLDER   the server's folder (.studio); keys stay in it
  --database URL  the PostgreSQL database (DATABASE_URL)
  --from WHERE    where pictures lie: a folder, the address of a bucket, or the word data for
                  the data folder, where they are without --pictures (PICTURES_URL, else data)
  --to WHERE      where they shall lie

Stop the servers first. Each entry is compared, and each picture read back, before anything counts;
where all came from then refuses to be started, and is kept. What was broken off goes on when it
is started again; pictures may be moved beforehand, while the servers run, and the rest after.
`;

const say = (line: string): void => void process.stdout.write(`${line}\n`);

export async function move(args: readonly string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args: [...args],
    allowPositionals: true,
    options: {
      data: { type: 'string', default: '.studio' },
      database: { type: 'string' },
      from: { type: 'string' },
      to: { type: 'string' },
      help: { type: 'boolean', default: false },
    },
  });
  const [way] = positionals;
  if (values.help || way === undefined) {
    say(moveHelp);
    return values.help ? 0 : 2;
  }
  if (way === 'pictures') return pictures(resolve(values.data), values.from, values.to);
  const url = databaseAt(values.database);
  if (url === undefined) throw new Error('Say which database: --database postgresql://… or DATABASE_URL.');
  const data = resolve(values.data);
  const [file, place] = [storeFile(data), withoutPassword(url)];
  let result: MoveResult;
  if (way === 'to-database') {
    result = await between(
      () => Promise.resolve(sqliteSource(file)),
      () => postgresTarget(url),
      place,
    );
    say(`${sum(result)} are in ${place} now. Start the servers with --database, and --data ${data}.`);
  } else if (way === 'to-file') {
    await mkdir(data, { recursive: true, mode: 0o700 });
    result = await between(
      () => postgresSource(url),
      () => Promise.resolve(sqliteTarget(file, Date.now())),
      file,
    );
    say(`${sum(result)} are in ${file} now. Start the server without --database.`);
  } else throw new Error(`fairpeg move knows to-database, to-file and pictures, not ${way}.`);
  return 0;
}

async function pictures(
  data: string,
  fromWhere: string | undefined,
  toWhere: string | undefined,
): Promise<number> {
  if (toWhere === undefined)
    throw new Error('Say where the pictures shall lie: --to FOLDER, a bucket’s address, or data.');
  const placeOf = (where: string | undefined) => (where === 'data' ? undefined : picturesAt(where));
  const { mark } = await openSeal(data);
  const log = (line: string): void => void process.stderr.write(`${line}\n`);
  const [source, target] = [placeOf(fromWhere), placeOf(toWhere)];
  const from = await keeperAt({ data, pictures: source, mark, log });
  const to = await keeperAt({ data, pictures: target, mark, log });
  try {
    if (from.place === to.place) throw new Error(`The pictures lie in ${to.place} already.`);
    if (target) await checkMark(to, mark, undefined);
    const { pictures, bytes, before, rotten } = await movePictures(
      from,
      to,
      join(data, 'pictures-moved.txt'),
    );
    await to.setNote('moved', undefined);
    await from.setNote('moved', `${to.place}\n`);
    await rememberElsewhere(data, target && to.place);
    const earlier = before === 0 ? '' : ` (${before} of them since an earlier run)`;
    say(
      `${pictures} pictures (${(bytes / 1e9).toFixed(2)} GB) are in ${to.place} now, each read back${earlier}.`,
    );
    if (rotten.length > 0)
      say(
        `${rotten.length} were not what their names say, and stay in ${from.place}: ${rotten.join(', ')}. The server asks tablets that hold them to put them up again.`,
      );
    say(
      target
        ? `Start the servers with --pictures for that place, or PICTURES_URL.`
        : 'Start the server without --pictures and PICTURES_URL.',
    );
    return 0;
  } catch (error) {
    if (!(error instanceof KeeperAway)) throw error;
    throw new Error(`${error.why} What was moved so far is kept; start this again and it goes on there.`, {
      cause: error,
    });
  } finally {
    await from.close();
    await to.close();
  }
}

async function between(
  openSource: () => Promise<Source>,
  openTarget: () => Promise<Target>,
  to: string,
): Promise<MoveResult> {
  const source = await openSource();
  try {
    const target = await openTarget();
    try {
      return await moveStore(source, target, JSON.stringify({ atMs: Date.now(), to } satisfies Moved));
    } finally {
      await target.close();
    }
  } finally {
    await source.close();
  }
}

const sum = ({ entries, passes, sha256 }: MoveResult): string =>
  `${entries} entries and ${passes} passes, each compared (SHA-256 of the entries ${sha256}),`;
