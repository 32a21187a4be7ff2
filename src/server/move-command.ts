/** `fairpeg move`: what a studio keeps, from the file in its data folder into PostgreSQL, and back. */
import { mkdir } from 'node:fs/promises';
import { resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { databaseAt } from './options.ts';
import { type MoveResult, moveStore, type Source, type Target } from './store/move.ts';
import type { Moved } from './store/moved.ts';
import { storeFile } from './store/open-store.ts';
import { withoutPassword } from './store/postgres/database.ts';
import { postgresSource, postgresTarget } from './store/postgres/postgres-move.ts';
import { sqliteSource, sqliteTarget } from './store/sqlite-move.ts';

export const moveHelp = `fairpeg move to-database     notes, passes and shots, from the data folder's file into PostgreSQL
fairpeg move to-file         the same, back

  --data FOLDER   the server's folder (.studio); pictures and keys stay in it
  --database URL  the PostgreSQL database (DATABASE_URL)

Stop the servers first. Each entry is compared before anything counts; where all came from then refuses
to be started, and is kept.
`;

const say = (line: string): void => void process.stdout.write(`${line}\n`);

export async function move(args: readonly string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args: [...args],
    allowPositionals: true,
    options: {
      data: { type: 'string', default: '.studio' },
      database: { type: 'string' },
      help: { type: 'boolean', default: false },
    },
  });
  const [way] = positionals;
  if (values.help || way === undefined) {
    say(moveHelp);
    return values.help ? 0 : 2;
  }
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
  } else throw new Error(`fairpeg move knows to-database and to-file, not ${way}.`);
  return 0;
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
