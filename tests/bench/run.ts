/**
 * `npm run bench`: every `*.bench.ts` beside this file, in one run. Prints its rows and writes `bench.json`,
 * a list of `{ name, value, unit, limit }`. Exits non-zero when a limit is passed. `--only WORD` runs the
 * files whose name contains it.
 */
import { readdirSync, writeFileSync } from 'node:fs';
import { cpus, totalmem } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { launch } from '../support/browser.ts';
import { ROOT } from '../support/built-app.ts';
import { isOver, type Row } from './row.ts';

const { values } = parseArgs({ options: { only: { type: 'string' } } });
const files = readdirSync(import.meta.dirname)
  .filter((file) => file.endsWith('.bench.ts') && file.includes(values.only ?? ''))
  .sort();
if (files.length === 0) throw new Error(`No bench is named like “${values.only ?? ''}”.`);

const browser = await launch();
const cpu = cpus();
const machine = `${cpu[0]?.model.trim() ?? 'unknown processor'}, ${cpu.length} cores, ${Math.round(totalmem() / 1e9)} GB, Node ${process.versions.node}, Chromium ${browser.version()}`;
await browser.close();
console.log(`${machine}\n`);

const shown = (value: number): string =>
  Number.isInteger(value) ? String(value) : String(Number(value.toPrecision(3)));
const bound = ({ limit, atLeast }: Row): string =>
  limit === undefined ? 'no limit' : `${atLeast === true ? '≥' : '≤'} ${shown(limit)}`;
const print = (rows: readonly Row[]): void => {
  const width = Math.max(4, ...rows.map((row) => row.name.length));
  for (const row of rows) {
    console.log(
      [
        row.name.padEnd(width),
        shown(row.value).padStart(10),
        row.unit.padEnd(8),
        bound(row).padEnd(10),
        isOver(row) ? 'PASSED ITS LIMIT' : '',
      ].join('  '),
    );
  }
};

const rows: Row[] = [];
let broken = 0;
for (const file of files) {
  console.log(`\n— ${file}`);
  try {
    const module = (await import(join(import.meta.dirname, file))) as {
      rows: () => Promise<Row[]>;
      seeds?: readonly number[];
    };
    if (module.seeds !== undefined) console.log(`  seeds: ${module.seeds.join(', ')}`);
    const found = await module.rows();
    // At once: whoever ends a long run has the rows it came to.
    print(found);
    rows.push(...found);
  } catch (error) {
    broken++;
    console.error(`  ${file} did not finish: ${error instanceof Error ? error.message : String(error)}`);
  }
}

const written = rows.map(({ name, value, unit, limit }) => ({ name, value, unit, limit: limit ?? null }));
writeFileSync(join(ROOT, 'bench.json'), `${JSON.stringify(written, undefined, 2)}\n`);
process.exitCode = broken > 0 || rows.some(isOver) ? 1 : 0;
