/**
 * `npm run fuzz`: everything with a seed that nobody chose, ten times as often as in `npm test`. `npm run fuzz -- 7`: seed 7;
 * `npm run fuzz -- 7 HTTP 50`: that one alone, fifty times as often. Prints the seed, and of a failure the smallest case found. Exits with 1 then.
 */
import * as fc from 'fast-check';
import { fuzzes } from './all.ts';

const [given, only, times = '10'] = process.argv.slice(2);
const seed = given === undefined ? Math.floor(Math.random() * 2 ** 31) : Number(given);
const wanted = fuzzes.filter(({ name }) => only === undefined || name === only);
if (!Number.isSafeInteger(seed) || wanted.length === 0) {
  console.error(`Give a whole number as the seed, and one of: ${fuzzes.map(({ name }) => name).join(', ')}.`);
  process.exit(2);
}
console.log(`seed ${seed}`);
let failed = 0;
for (const { name, tries, open } of wanted) {
  const { property, close } = await open();
  const startMs = performance.now();
  const details = await fc.check(property, { seed, numRuns: tries * Number(times) });
  const closed = await (close?.() ?? Promise.resolve()).then(
    () => '',
    (error: unknown) => String(error),
  );
  const seconds = ((performance.now() - startMs) / 1000).toFixed(1);
  if (!details.failed && closed === '') {
    console.log(`${name}: ${details.numRuns} tries, ${seconds} s, nothing found`);
    continue;
  }
  failed++;
  console.log(`${name}: FAILED (seed ${seed}) ${closed}\n${fc.defaultReportMessage(details) ?? ''}`);
}
process.exitCode = failed === 0 ? 0 : 1;
