/** A machine without PostgreSQL gets one where that may be; a command of our own stands in front of the system's. */
import { chmodSync, mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { findPostgres, installedPostgres, type PostgresMachine } from '../../support/postgres.ts';
import { temporaryFolder } from '../../support/studio-server.ts';

let machine: PostgresMachine;
let folder: string;
beforeEach(() => {
  folder = temporaryFolder();
  machine = { folder: join(folder, 'postgresql'), env: { PATH: `${folder}:/usr/bin:/bin` }, isRoot: true };
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function aptGet(script: string): void {
  writeFileSync(join(folder, 'apt-get'), `#!/bin/sh\n${script}\n`);
  chmodSync(join(folder, 'apt-get'), 0o755);
}

test('the newest that is new enough is taken, by its number and not its letters', () => {
  for (const version of ['9.6', '13', '14', '100'])
    mkdirSync(join(machine.folder, version), { recursive: true });
  aptGet('exit 1');
  expect(installedPostgres(machine)).toEqual({ programs: join(machine.folder, '100', 'bin') });
});
test('without one it is installed', () => {
  aptGet(`[ "$1" = update ] || mkdir -p ${machine.folder}/15`);
  expect(installedPostgres(machine)).toEqual({ programs: join(machine.folder, '15', 'bin') });
});
test('where that may not be, a line names what is skipped and why', () => {
  aptGet('exit 100');
  mkdirSync(join(machine.folder, '13'), { recursive: true });
  expect(installedPostgres(machine)).toEqual(findPostgres(machine));
  expect(findPostgres(machine)).toMatchObject({ lacking: expect.stringMatching(/^PostgreSQL .* skipped/) });
});
