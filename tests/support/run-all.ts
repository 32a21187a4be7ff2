/** `npm test`: a browser, then types, lint, build and every test. Ends with `N passed, N failed` on a line alone. */
import { spawnSync } from 'node:child_process';
import { readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { ensureChromium } from './browser.ts';
import { builtApp, ROOT } from './built-app.ts';
import { installedPostgres } from './postgres.ts';

const REPORT = join(ROOT, 'test-results/vitest.json');

/** What of Vitest's JSON report is read here. */
interface Report {
  readonly numPassedTests: number;
  readonly numFailedTests: number;
  readonly testResults: readonly { readonly status: string; readonly assertionResults: readonly unknown[] }[];
}

const run = (command: string, ...args: readonly string[]): boolean =>
  spawnSync(command, args, { cwd: ROOT, stdio: 'inherit' }).status === 0;

const failed: string[] = [];
async function step(name: string, work: () => boolean | Promise<unknown>): Promise<void> {
  console.log(`\n— ${name}`);
  try {
    if ((await work()) === false) failed.push(name);
  } catch (error) {
    console.error(error instanceof Error ? error.message : error);
    failed.push(name);
  }
}

await step('a browser', () => Promise.resolve(console.log(ensureChromium())));
await step('PostgreSQL', () => {
  const found = installedPostgres();
  console.log('lacking' in found ? found.lacking : found.programs);
  return true;
});
await step('types', () => run('npm', 'run', '--silent', 'typecheck'));
await step('lint', () => run('npm', 'run', '--silent', 'lint'));
await step('build', builtApp);

rmSync(REPORT, { force: true });
console.log('\n— tests');
const passed = run(
  'npx',
  'vitest',
  'run',
  '--reporter=default',
  '--reporter=json',
  `--outputFile.json=${REPORT}`,
);
let report: Report = { numPassedTests: 0, numFailedTests: 0, testResults: [] };
try {
  report = JSON.parse(readFileSync(REPORT, 'utf8')) as Report;
} catch {
  failed.push('the test run, which left no report');
}
// A file that could not even be loaded has no tests of its own to fail.
const unloaded = report.testResults.filter(
  ({ status, assertionResults }) => status === 'failed' && assertionResults.length === 0,
).length;
let failures = report.numFailedTests + unloaded + failed.length;
if (!passed && failures === 0) {
  failed.push('the test run, outside of any test');
  failures = 1;
}
if (failed.length > 0) console.log(`\nFailed beside the tests: ${failed.join(', ')}.`);
console.log(`\n${report.numPassedTests} passed, ${failures} failed`);
process.exitCode = failures === 0 ? 0 : 1;
