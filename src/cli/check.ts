import { type Checker, createChecker, type ShotMeasures } from '../check/checker.ts';
import type { Finding } from '../check/finding.ts';
import { findingsOf } from '../check/findings.ts';
import { createNodePool } from '../check/node/node-pool.ts';
import { reportOf } from '../check/report.ts';
import { type DiskShot, readShot } from '../intake/node/read-shot.ts';
import { sayOdd } from '../intake/source.ts';
import { writeCsv } from '../shot/csv.ts';
import { imagesOf } from '../shot/images-of.ts';
import { type CheckArguments, checkUsage, readCheckArguments } from './check-options.ts';
import { runCommand } from './command.ts';
import { findingsTable } from './findings-table.ts';
import { print } from './print.ts';
import { tellProgress } from './progress.ts';

/** `fairpeg check`: 0 nothing found, 1 findings, 2 it could not be checked. */
export const run = (args: readonly string[]): Promise<number> =>
  runCommand({ name: 'check', usage: checkUsage, read: readCheckArguments, work: check }, args);

async function check(wanted: CheckArguments): Promise<number> {
  const disk = await readShot(wanted.folder, { decode: true });
  for (const odd of disk.odd) print(process.stderr, sayOdd(odd));
  if (disk.shot.levels.every(({ drawings }) => drawings.every(({ takes }) => takes.length === 0))) {
    const only =
      'there is no clean-up in it, so there is nothing to measure. Add the cleans, in a folder named clean';
    print(process.stderr, `fairpeg check: ${wanted.folder}: ${only}.`);
    return 2;
  }
  const measures = await measure(disk, wanted);
  // One picture may fail several measures, for the one reason that was told when it was read.
  const told = new Set<string>();
  for (const [key, reason] of measures.failed) {
    const clean = key.split(':')[2];
    const image = imagesOf(disk.shot).find(({ sha256 }) => sha256 === clean);
    told.add(`${image ? disk.pathOf(image) : key}: ${reason}. The rest was measured.`);
  }
  for (const line of told) print(process.stderr, line);
  const chosen = findingsOf(disk.shot, measures, wanted.tolerances).filter(
    ({ level, drawing }) => (wanted.level ?? level) === level && (wanted.drawing ?? drawing) === drawing,
  );
  print(process.stdout, written(disk, measures, chosen, wanted).replace(/\r?\n$/, ''));
  if (told.size > 0 && ![...measures.results.keys()].some((key) => key.includes(':drawing:'))) return 2;
  return chosen.length > 0 ? 1 : 0;
}

export async function measure(
  disk: DiskShot,
  { workers, tolerances, quiet }: Pick<CheckArguments, 'workers' | 'tolerances' | 'quiet'>,
): Promise<ShotMeasures> {
  const pool = createNodePool(workers, new URL('./check-worker.ts', import.meta.url));
  const checker: Checker = createChecker({ pool, open: (image) => disk.bytes(image) });
  const tell = tellProgress((done, total) => `measured ${done} of ${total}`);
  try {
    return await checker.check(disk.shot, {
      signal: new AbortController().signal,
      mostGapPx: tolerances.leakPx,
      onProgress: (done, total) => {
        if (!quiet) tell(done, total);
      },
    });
  } finally {
    pool.close();
  }
}

function written(
  { shot }: DiskShot,
  measures: ShotMeasures,
  findings: readonly Finding[],
  { form, tolerances }: CheckArguments,
): string {
  if (form === 'json')
    return JSON.stringify(reportOf(shot, measures, findings, tolerances.leakPx), undefined, 2);
  if (form === 'csv') {
    return writeCsv([
      ['check', 'level', 'drawing', 'x', 'y', 'width', 'height', 'amount', 'message'],
      ...findings.map(({ check, level, drawing, bbox, amount, message }) => [
        check,
        level,
        drawing,
        ...bbox,
        Math.round(amount * 1000) / 1000,
        message,
      ]),
    ]);
  }
  return findingsTable(shot, findings);
}
