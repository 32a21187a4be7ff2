/** The large shot with nothing planted, from a fresh seed, checked whole at the prompt: every finding is a false one. */
import { execFile } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { promisify } from 'node:util';
import { largeShot } from '../../sample-shots/large.ts';
import type { Report } from '../../src/check/report.ts';

const root = resolve(import.meta.dirname, '../..');

export async function printLargeShot(count: number, seed: number): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'large-'));
  try {
    for (const { path, bytes } of largeShot({ width: 2048, height: 1080, count, seed })) {
      mkdirSync(dirname(join(folder, path)), { recursive: true });
      writeFileSync(join(folder, path), bytes);
    }
    const args = ['--import', 'tsx', join(root, 'src/cli/main.ts'), 'check', folder, '--json', '--quiet'];
    const stdout = await promisify(execFile)(process.execPath, args, { cwd: root, maxBuffer: 1 << 28 }).then(
      (done) => done.stdout,
      (error: { code?: number; stdout: string }) => {
        if (error.code === 1) return error.stdout;
        throw error;
      },
    );
    const { findings } = JSON.parse(stdout) as Report;
    for (const { drawing, check, message } of findings)
      console.log(`  not planted: ${drawing}: ${check}: ${message}`);
    console.log(
      `Large shot, 2048 px wide, seed ${seed}: ${findings.length} false in ${count} drawings, all checks`,
    );
  } finally {
    rmSync(folder, { recursive: true });
  }
}
