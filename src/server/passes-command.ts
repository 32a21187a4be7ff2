/** `fairpeg passes`: given, listed and taken at the prompt, also while the server runs. */
import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { roles } from '../wire/people.ts';
import { databaseAt } from './options.ts';
import { makePass } from './passes.ts';
import { openStore, storeFile } from './store/open-store.ts';
import type { Pass, StudioStore } from './store/types.ts';

export const passesHelp = `fairpeg passes list                       who may come in
fairpeg passes add NAME --role ROLE       a one-time code for an artist, director or assistant
fairpeg passes owner                      a one-time code for someone who gives and takes passes
fairpeg passes revoke ID                  takes a pass away, at once

  --data FOLDER   the server's folder (.studio)
  --database URL  the server's PostgreSQL database, where it has one (DATABASE_URL)
`;

const say = (line: string): void => void process.stdout.write(`${line}\n`);

export async function passes(args: readonly string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args: [...args],
    allowPositionals: true,
    options: {
      data: { type: 'string', default: '.studio' },
      database: { type: 'string' },
      role: { type: 'string' },
      help: { type: 'boolean', default: false },
    },
  });
  const [verb, subject] = positionals;
  if (values.help || verb === undefined) {
    say(passesHelp);
    return values.help ? 0 : 2;
  }
  const place = { data: resolve(values.data), database: databaseAt(values.database) };
  if (place.database === undefined && !existsSync(storeFile(place.data)))
    throw new Error(`There is no studio in ${values.data}. Give its folder with --data.`);
  const store = await openStore(place);
  try {
    return await run(store, verb, subject, values.role);
  } finally {
    await store.close();
  }
}

async function run(
  store: StudioStore,
  verb: string,
  subject: string | undefined,
  role: string | undefined,
): Promise<number> {
  switch (verb) {
    case 'list':
      for (const pass of await store.passes()) say(describe(pass));
      return 0;
    case 'add':
      if (!subject) throw new Error('Say whose pass it is: fairpeg passes add NAME --role artist.');
      if (!role || !(roles as readonly string[]).includes(role))
        throw new Error(`--role wants one of ${roles.join(', ')}.`);
      say((await makePass(store, { name: subject, role: role as Pass['role'] }, Date.now())).code);
      return 0;
    case 'owner':
      say(
        (await makePass(store, { name: subject ?? 'Owner', role: 'director', owner: true }, Date.now())).code,
      );
      return 0;
    case 'revoke':
      if (await store.revokePass(subject ?? '', Date.now())) return 0;
      throw new Error(`No pass ${subject ?? ''} is open. fairpeg passes list shows them.`);
    default:
      throw new Error(`fairpeg passes knows list, add, owner and revoke, not ${verb}.`);
  }
}

function describe({ id, name, role, owner, joinedMs, revokedMs }: Pass): string {
  const state = revokedMs !== undefined ? 'revoked' : joinedMs !== undefined ? 'joined' : 'code not used yet';
  return [id, name, owner ? `${role}, owner` : role, state].join('\t');
}
