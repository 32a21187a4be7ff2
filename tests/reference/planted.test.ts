/**
 * Whole shots of plain shapes with faults of known place and size, in papers, strokes and file forms that the
 * sample shots do not have (see support/planted-shot.ts), checked by the command line as a stranger would.
 */
import { execFile } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { expect, test } from 'vitest';
import type { Report } from '../../src/check/report.ts';
import { boxGap } from '../../src/line/box.ts';
import type { PlantedStyle } from '../support/planted-marks.ts';
import { type PlantedHere, writePlantedShot } from '../support/planted-shot.ts';

const root = resolve(import.meta.dirname, '../..');

function check(folder: string): Promise<Report> {
  const args = ['--import', 'tsx', join(root, 'src/cli/main.ts'), 'check', folder, '--json', '--quiet'];
  return new Promise((done, fail) => {
    execFile(process.execPath, args, { cwd: root, maxBuffer: 1 << 28 }, (error, stdout, stderr) =>
      error?.code === 1 ? done(JSON.parse(stdout) as Report) : fail(new Error(`not exit code 1: ${stderr}`)),
    );
  });
}

const isAt = ({ drawing, box }: PlantedHere, finding: Report['findings'][number]): boolean =>
  finding.drawing === drawing && (!box || boxGap(finding.bbox, box) === 0);

const styles: PlantedStyle[] = [
  { name: 'ink on white', width: 1000, height: 700, strokePx: 4, paper: 'white', rough: 'line' },
  {
    name: 'jagged line on transparent, red pencil',
    width: 1280,
    height: 720,
    strokePx: 3,
    paper: 'transparent',
    aliased: true,
    rough: 'pencil',
    pencil: '#8a3324',
  },
  {
    name: 'a grey scan with noise, as JPEG',
    width: 1600,
    height: 1000,
    strokePx: 5,
    paper: 'grey',
    rough: 'pencil',
    noise: 6,
    format: 'jpg',
  },
  { name: 'a heavy line, no roughs', width: 1400, height: 1000, strokePx: 12, paper: 'white', rough: 'none' },
];

test.each(styles)(
  '$name: every fault found, to its amount, and nothing else',
  async (style) => {
    const folder = await mkdtemp(join(tmpdir(), 'planted-'));
    try {
      const planted = await writePlantedShot(folder, style);
      const { findings, levels } = await check(folder);
      const rightly = new Set<string>();
      for (const fault of planted) {
        const there = findings.filter((finding) => finding.check === fault.check && isAt(fault, finding));
        there.forEach(({ key }) => rightly.add(key));
        const off = Math.min(...there.map(({ amount }) => Math.abs(amount - fault.amount)));
        expect(off, `${fault.drawing}: ${fault.check} of ${fault.amount}`).toBeLessThanOrEqual(fault.within);
      }
      // A swollen head lies off its rough, which is no second fault.
      const swollen = planted.filter(({ check }) => check === 'volume');
      const others = findings.filter(
        (finding) =>
          !rightly.has(finding.key) &&
          !(finding.check === 'drift' && swollen.some((fault) => isAt(fault, finding))),
      );
      expect(levels[0]!.drawings).toHaveLength(13);
      expect(
        others.map(({ drawing, message }) => `${drawing}: ${message}`),
        'not planted',
      ).toEqual([]);
    } finally {
      await rm(folder, { recursive: true });
    }
  },
  240_000,
);
