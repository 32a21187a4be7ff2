/** `fairpeg reweight` on files of every depth and colour; pictures are written and read by `sharp`. */
import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import sharp, { type Sharp } from 'sharp';
import { afterAll, beforeAll, expect, it } from 'vitest';

const root = resolve(import.meta.dirname, '../../..');
let folder: string;
let shot: string;

function reweight(...args: string[]): Promise<{ code: number; stdout: string; stderr: string }> {
  return new Promise((done) => {
    execFile(
      process.execPath,
      ['--import', 'tsx', join(root, 'src/cli/main.ts'), 'reweight', ...args],
      { cwd: root, maxBuffer: 1 << 26 },
      (error, stdout, stderr) => done({ code: error ? Number(error.code) : 0, stdout, stderr }),
    );
  });
}

/** A ring, drawn by librsvg: 90 px across, `strokePx` wide. */
const ring = (strokePx: number, colour: string, paper = '<rect width="160" height="120" fill="white"/>') =>
  Buffer.from(
    `<svg xmlns="http://www.w3.org/2000/svg" width="160" height="120">${paper}<circle cx="80.3" cy="60.1" r="45" fill="none" stroke="${colour}" stroke-width="${strokePx}"/></svg>`,
  );

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'fairpeg-reweight-'));
  shot = join(folder, 'shot');
  await mkdir(join(shot, 'clean'), { recursive: true });
  const write = (name: string, image: Sharp) => image.png().toFile(join(shot, 'clean', name));
  await write('0001.png', sharp(ring(5, 'black')).toColourspace('b-w'));
  await write('0002.png', sharp(ring(5, '#c02010', '')));
  await write('0003.png', sharp(ring(5, '#2040d0')).removeAlpha().toColourspace('rgb16'));
}, 60_000);
afterAll(() => rm(folder, { recursive: true, force: true }));

const raw = (file: string) =>
  sharp(file).toColourspace('rgb16').raw({ depth: 'ushort' }).toBuffer({ resolveWithObject: true });

it('writes the same size, depth, colour and transparency, and changes nothing away from the edges', async () => {
  const out = join(folder, 'out');
  const { code, stdout, stderr } = await reweight(shot, '--by', '1', '--out', out, '--json');
  expect(stderr).toBe('');
  expect(code).toBe(0);
  expect(await readdir(out)).toEqual(['0001.png', '0002.png', '0003.png']);
  const { drawings } = JSON.parse(stdout) as { drawings: { weightPx: number; byPx: number }[] };
  for (const { weightPx, byPx } of drawings) {
    expect(Math.abs(weightPx - 5)).toBeLessThan(0.1);
    expect(byPx).toBe(1);
  }
  for (const name of ['0001.png', '0002.png', '0003.png']) {
    const [was, is] = await Promise.all(
      [join(shot, 'clean', name), join(out, name)].map(async (file) => ({
        metadata: await sharp(file).metadata(),
        pixels: await raw(file),
      })),
    );
    for (const key of ['width', 'height', 'channels', 'depth', 'hasAlpha', 'space'] as const)
      expect(is!.metadata[key], `${name}: ${key}`).toBe(was!.metadata[key]);
    const { channels } = was!.pixels.info;
    const [before, after] = [was!, is!].map(
      ({ pixels }) => new Uint16Array(pixels.data.buffer, pixels.data.byteOffset, pixels.data.byteLength / 2),
    );
    let changed = 0;
    for (let y = 0; y < 120; y++) {
      for (let x = 0; x < 160; x++) {
        const from = (y * 160 + x) * channels;
        const same = before!.subarray(from, from + channels).every((v, c) => v === after![from + c]);
        if (same) continue;
        changed++;
        // The edges lie at 42.5 and 47.5 px from the middle, and move by half a px.
        const r = Math.hypot(x + 0.5 - 80.3, y + 0.5 - 60.1);
        expect(Math.min(Math.abs(r - 42.5), Math.abs(r - 47.5)), `${name} at ${x}, ${y}`).toBeLessThan(1.7);
      }
    }
    expect(changed, name).toBeGreaterThan(200);
  }
}, 120_000);

it('foretells what would be lost, writes nothing, and its exit code says so', async () => {
  const { code, stdout } = await reweight(shot, '--by=-6', '--foretell');
  expect(code).toBe(1);
  expect(stdout).toMatch(/^1: \d\.\d+ px − 6\.00 px\n {2}line lost at \[/);
}, 60_000);

it('evens a level towards the weight of its keys, leaves the keys, and writes what its JSON Schema says', async () => {
  const even = join(folder, 'even');
  await mkdir(join(even, 'clean'), { recursive: true });
  const strokes = [4, 7, 3] as const;
  for (const [n, strokePx] of strokes.entries())
    await sharp(ring(strokePx, 'black'))
      .png()
      .toFile(join(even, 'clean', `000${n + 1}.png`));
  const drawings = strokes.map((_, n) => ({ label: String(n + 1), role: n === 0 ? 'key' : 'inbetween' }));
  await writeFile(join(even, 'shot.json'), JSON.stringify({ fps: 24, levels: [{ name: '', drawings }] }));
  const { code, stdout, stderr } = await reweight(
    even,
    '--to',
    'keys',
    '--out',
    join(folder, 'even-out'),
    '--json',
  );
  expect(stderr).toBe('');
  expect(code).toBe(0);
  const done = JSON.parse(stdout) as { drawings: { drawing: string; byPx: number; left?: string }[] };
  const schema = JSON.parse(
    await readFile(join(root, 'public/schemas/reweight.schema.json'), 'utf8'),
  ) as object;
  const validate = new Ajv2020({ allErrors: true, strictTypes: false }).compile(schema);
  validate(done);
  expect(validate.errors).toBeNull();
  expect(validate({ ...done, drawings: [{}] })).toBe(false);
  const [key, wide, thin] = done.drawings;
  expect(key?.left).toMatch(/is a key/);
  expect(Math.abs(wide!.byPx + 3)).toBeLessThan(0.15);
  expect(Math.abs(thin!.byPx - 1)).toBeLessThan(0.15);
  const inkPx2 = async (n: number): Promise<number> => {
    const { data, info } = await raw(join(folder, 'even-out', `000${n}.png`));
    const samples = new Uint16Array(data.buffer, data.byteOffset, data.byteLength / 2);
    return samples.reduce((sum, v, at) => sum + (at % info.channels === 0 ? 1 - v / 65535 : 0), 0);
  };
  // A ring's area is π · 90 px across · its width.
  for (const n of [1, 2, 3])
    expect(Math.abs((await inkPx2(n)) / (Math.PI * 90) - 4), `drawing ${n}`).toBeLessThan(0.15);
}, 120_000);

it.each([
  [[], /Name the folder/],
  [['x'], /either --by or --to/],
  [['x', '--by', '1', '--to', '2'], /either --by or --to/],
  [['x', '--by', 'thick'], /--by takes px or per cent.*“thick”/],
  [['x', '--by', '99', '--foretell'], /up to 24 px/],
  [['x', '--to', '-1'], /--to/],
  [['x', '--by', '1'], /--out/],
])(
  '%j is answered by one sentence and exit code 2',
  async (args, sentence) => {
    const { code, stderr } = await reweight(...args);
    expect(code).toBe(2);
    expect(stderr).toMatch(sentence);
  },
  60_000,
);

it('never writes into a folder that holds something', async () => {
  const { code, stderr } = await reweight(shot, '--by', '1', '--out', join(shot, 'clean'));
  expect(code).toBe(2);
  expect(stderr).toMatch(/is not empty/);
}, 60_000);

it('puts levels of any name below --out, a blank drawing there unchanged, and writes no file over another', async () => {
  const odd = join(folder, 'odd');
  for (const level of ['A', 'B']) await mkdir(join(odd, level, 'clean'), { recursive: true });
  await sharp(ring(5, '#5a5a5a')).toColourspace('b-w').png().toFile(join(odd, 'A/clean/0001.png'));
  await sharp({ create: { width: 160, height: 120, channels: 3, background: 'white' } })
    .png()
    .toFile(join(odd, 'B/clean/0001.png'));
  const out = join(folder, 'odd-out');
  const { code, stdout } = await reweight(odd, '--to', '6', '--out', out);
  expect(code).toBe(0);
  expect(stdout).toMatch(/B 1: left as it is\. /);
  expect((await readdir(out)).sort()).toEqual(['A', 'B']);
  const blank = await sharp(join(out, 'B/0001.png')).raw().toBuffer();
  expect(blank.every((sample) => sample === 255)).toBe(true);
  // A grey line stays as grey: in its middle, 45 px from the ring's, nothing is rounded.
  const { data, info } = await raw(join(out, 'A/0001.png'));
  const grey = new Uint16Array(data.buffer, data.byteOffset, data.byteLength / 2);
  const before = await raw(join(odd, 'A/clean/0001.png'));
  const was = new Uint16Array(before.data.buffer, before.data.byteOffset, before.data.byteLength / 2);
  const at = (60 * 160 + Math.floor(80.3 + 45)) * info.channels;
  expect(grey[at]).toBe(was[at]);
}, 60_000);

it('takes a level called .. for a name, not for a way out', async () => {
  const up = join(folder, 'up');
  await mkdir(join(up, 'clean'), { recursive: true });
  await sharp(ring(5, 'black'))
    .png()
    .toFile(join(up, 'clean', '0001.png'));
  const drawings = [{ label: '1', takes: ['clean/0001.png'] }];
  await writeFile(join(up, 'shot.json'), JSON.stringify({ fps: 24, levels: [{ name: '..', drawings }] }));
  const out = join(folder, 'deep', 'up-out');
  await reweight(up, '--by', '1', '--out', out);
  expect(await readdir(join(folder, 'deep'))).toEqual(['up-out']);
  expect((await readdir(out, { recursive: true })).filter((name) => name.endsWith('.png'))).toHaveLength(1);
}, 60_000);
