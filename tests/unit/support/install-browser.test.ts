/** A machine without a browser gets one; commands of our own stand in front of the system's. */
import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { installedChromium, type Machine } from '../../support/browser.ts';

let folder: string;
let machine: Machine;
const at = (name: string): string => join(folder, name);
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'fairpeg-bare-'));
  machine = {
    places: [at('stub'), at('chromium'), at('fetched')],
    env: { PATH: `${folder}:/usr/bin:/bin` },
    isRoot: true,
  };
  command('apt-get', 'exit 100');
  command('npx', 'exit 1');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function command(name: string, script: string): void {
  writeFileSync(at(name), `#!/bin/sh\necho "${name} $* [$DEBIAN_FRONTEND]" >> ${at('asked')}\n${script}\n`);
  chmodSync(at(name), 0o755);
}
const asked = (): string[] =>
  existsSync(at('asked')) ? readFileSync(at('asked'), 'utf8').trim().split('\n') : [];
const leaves = (name: string): string => `printf '#!/bin/sh\\nexit 0\\n' > ${at(name)}; chmod +x ${at(name)}`;

test('one that starts is taken, without asking for another; a stub that does not start is passed over', () => {
  command('stub', 'exit 1');
  command('chromium', 'exit 0');
  expect(installedChromium(machine)).toBe(at('chromium'));
  expect(asked().map((line) => line.replace(/ \[.*/, ''))).toEqual(['stub --version', 'chromium --version']);
});

test('without one, the system’s own packages are asked first, and ask nothing back', () => {
  command('apt-get', `[ "$1" = install ] && { ${leaves('chromium')}; } || true`);
  expect(installedChromium(machine)).toBe(at('chromium'));
  expect(asked()).toEqual([
    'apt-get update [noninteractive]',
    'apt-get install -y --no-install-recommends chromium [noninteractive]',
  ]);
});

test('who is not root asks through sudo, which may not wait for a password', () => {
  command('sudo', `[ "$1" = -n ] && shift && exec "$@"`);
  command('apt-get', `[ "$1" = install ] && { ${leaves('chromium')}; } || true`);
  expect(installedChromium({ ...machine, isRoot: false })).toBe(at('chromium'));
  expect(asked().filter((line) => line.startsWith('sudo'))).toEqual([
    'sudo -n env DEBIAN_FRONTEND=noninteractive apt-get update []',
    'sudo -n env DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends chromium []',
  ]);
});

test('where the system has no packages, one is fetched', () => {
  command('npx', leaves('fetched'));
  expect(installedChromium(machine)).toBe(at('fetched'));
  expect(asked().at(-1)).toBe('npx playwright install --with-deps chromium []');
});

test('where nothing works, one sentence says what to do', () => {
  expect(() => installedChromium(machine)).toThrow(
    /^No Chromium was found and none could be installed: .* set FAIRPEG_CHROMIUM to its path\.$/,
  );
});
