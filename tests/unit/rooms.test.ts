// Expected: src/README.md and src/desk/README.md say who may import whom; lint must say the same, of every folder there is.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { ROOT } from '../support/built-app.ts';

interface Override {
  readonly files: readonly string[];
  readonly rules: Readonly<Record<string, readonly [string, { patterns: { group: string[] }[] }]>>;
}
const { overrides } = JSON.parse(readFileSync(join(ROOT, '.oxlintrc.json'), 'utf8')) as {
  overrides: Override[];
};

/** What the last rule for exactly these files forbids: the last one is the one that holds. */
function forbidden(files: string): string[] | undefined {
  const rule = overrides.findLast((one) => one.files.includes(files) && one.rules['no-restricted-imports']);
  return rule?.rules['no-restricted-imports']?.[1].patterns.flatMap(({ group }) => group);
}
const folders = (path: string): string[] =>
  readdirSync(join(ROOT, path), { withFileTypes: true })
    .filter((one) => one.isDirectory())
    .map(({ name }) => name);
/** `room` → the rooms that the last cell of its row names. */
function table(readme: string): Map<string, string> {
  const rows = readFileSync(join(ROOT, readme), 'utf8').matchAll(/^\| `(\w+)\/` .*\| ([^|]+) \|$/gm);
  return new Map([...rows].map(([, room = '', may = '']) => [room, may]));
}
const namedIn = (cell: string): string[] => [...cell.matchAll(/`(\w+)`/g)].map(([, name]) => name ?? '');

describe.each([
  ['src', 'src/README.md', (room: string) => `../**/${room}/**`],
  ['src/desk', 'src/desk/README.md', (part: string) => `../${part}/**`],
])('the folders of %s', (path, readme, pattern) => {
  const rows = table(readme);
  const rooms = folders(path);

  test('each have a row and a rule, and there are no rows of folders that have gone', () => {
    expect([...rows.keys()].sort()).toEqual([...rooms].sort());
    for (const room of rooms) expect(forbidden(`${path}/${room}/**`), room).toBeDefined();
  });
  test.each(rooms)('%s may import what its row says, and nothing else', (room) => {
    const cell = rows.get(room) ?? '';
    const before = [...rows.keys()].slice(0, [...rows.keys()].indexOf(room));
    const may = cell.includes('every room above') ? before : namedIn(cell);
    const others = rooms.filter((other) => other !== room);
    const rules = forbidden(`${path}/${room}/**`) ?? [];
    expect(others.filter((other) => !rules.includes(pattern(other))).sort()).toEqual([...may].sort());
  });
});

test('a folder that no rule names may import no other', () => {
  expect(forbidden('src/**')).toContain('../**');
  expect(forbidden('src/desk/*/**')).toContain('../*/**');
  expect(forbidden('src/desk/*.ts')).toContain('./*/**');
  // A later override wins: the general ones stand before those of the rooms they stand for.
  const order = (files: string): number => overrides.findIndex((one) => one.files.includes(files));
  expect(order('src/**')).toBe(0);
  expect(order('src/desk/*/**')).toBeLessThan(order('src/desk/checks/**'));
});
