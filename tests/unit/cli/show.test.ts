/** `fairpeg contact` and `fairpeg linetest` on a shot of three small drawings. */
import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { readApng } from '../../support/read-apng.ts';

const root = resolve(import.meta.dirname, '../../..');
let folder: string;
let shot: string;

function fairpeg(...args: string[]): Promise<{ code: number; stdout: string; stderr: string }> {
  return new Promise((done) => {
    execFile(
      process.execPath,
      ['--import', 'tsx', join(root, 'src/cli/main.ts'), ...args],
      { cwd: root, maxBuffer: 1 << 26 },
      (error, stdout, stderr) => done({ code: error ? Number(error.code) : 0, stdout, stderr }),
    );
  });
}

const draw = (name: string, inside: string): Promise<unknown> =>
  sharp(
    Buffer.from(
      `<svg xmlns="http://www.w3.org/2000/svg" width="320" height="180"><rect width="320" height="180" fill="white"/>${inside}</svg>`,
    ),
  )
    .png()
    .toFile(join(shot, 'clean', name));

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'fairpeg-show-'));
  shot = join(folder, 'shot');
  await mkdir(join(shot, 'clean'), { recursive: true });
  await draw('0001.png', '<rect x="40" y="40" width="30" height="20" fill="#c81e1e"/>');
  await draw('0002.png', '<circle cx="200" cy="90" r="40" fill="none" stroke="black" stroke-width="5"/>');
  await draw('0003.png', '<rect width="320" height="180" fill="black"/>');
  await sheet([1, 1, 2, 2, 2]);
});
afterAll(() => rm(folder, { recursive: true, force: true }));

/** Writes the sheet: which drawing on which frame, one after the other. */
async function sheet(frames: readonly number[]): Promise<void> {
  const exposures = frames.map((drawing, n) => ({ drawing: String(drawing), frame: n + 1, length: 1 }));
  const drawings = ['1', '2', '3'].map((label) => ({ label, role: 'key' }));
  const told = { title: 'Ring', fps: 24, levels: [{ name: '', drawings, exposures }] };
  await writeFile(join(shot, 'shot.json'), JSON.stringify(told));
}

it('a line test has the frames, the length and the colours of the shot', async () => {
  const out = join(folder, 'ring.png');
  const { code, stdout, stderr } = await fairpeg('linetest', shot, '--out', out, '--quiet');
  expect(code, stderr).toBe(0);
  expect(stdout).toContain('5 frames, 0.208 s, 320 × 180 px');
  const read = readApng(await readFile(out));
  expect([read.width, read.height]).toEqual([320, 180]);
  expect(read.delaysMs).toEqual([83, 125]);
  for (const [frame, rgba] of read.rgba.entries()) {
    const name = `000${frame + 1}.png`;
    const drawn = await sharp(join(shot, 'clean', name))
      .ensureAlpha()
      .raw()
      .toBuffer();
    expect(Buffer.compare(Buffer.from(rgba), drawn), name).toBe(0);
  }
});

it('what would flash is not written unless it may be slower, and says so', async () => {
  await sheet([1, 3, 1, 3, 1, 3, 1, 3]);
  const out = join(folder, 'flicker.png');
  const refused = await fairpeg('linetest', shot, '--out', out, '--quiet');
  expect(refused.code).toBe(1);
  expect(refused.stderr).toMatch(/more than three times in a second .* At 6 a second it does not/);
  await expect(stat(out)).rejects.toMatchObject({ code: 'ENOENT' });
  const slower = await fairpeg(
    'linetest',
    shot,
    '--out',
    out,
    '--slower',
    '--size',
    '160',
    '--numbers',
    '--frames',
  );
  expect(slower.code, slower.stderr).toBe(1);
  expect(slower.stderr).toContain('Written at 6 frames a second instead of 24');
  const read = readApng(await readFile(out));
  expect([read.width, read.height, read.delaysMs.length]).toEqual([160, 90, 8]);
  // 8 frames of 1/6 s, each rounded to 167 ms by the reader.
  expect(read.lengthMs).toBe(8 * 167);
});

it('contact sheets are written for print and as pictures; a damaged drawing is named and the rest goes on', async () => {
  const bytes = await readFile(join(shot, 'clean/0002.png'));
  await writeFile(join(shot, 'clean/0002.png'), bytes.subarray(0, bytes.length / 2));
  const [pdf, png] = [join(folder, 'sheet.pdf'), join(folder, 'sheet.png')];
  const { code, stderr } = await fairpeg('contact', shot, '--pdf', pdf, '--png', png, '--paper', 'Letter');
  expect(code, stderr).toBe(1);
  expect(stderr).toContain('0002.png');
  expect((await readFile(pdf)).subarray(0, 5).toString()).toBe('%PDF-');
  // Letter is 8½ × 11 in (ANSI A), at 150 dots an inch.
  const { width, height } = await sharp(png).metadata();
  expect([width, height]).toEqual([1275, 1650]);
});

it('a wrong command line is one sentence', async () => {
  const wrong = await Promise.all([
    fairpeg('linetest', shot),
    fairpeg('linetest', shot, '--out', 'x.mp4'),
    fairpeg('contact', shot),
  ]);
  expect(wrong.map(({ code }) => code)).toEqual([2, 2, 2]);
  expect(wrong[0]?.stderr).toContain('Name a file after --out');
  expect(wrong[1]?.stderr).toContain('animated PNG');
  expect(wrong[2]?.stderr).toContain('--pdf or --png');
});
