/** `fairpeg ready` on a shot of two small drawings, with what people said of it lying beside them. */
import { execFile } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import sharp from 'sharp';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { Body } from '../../../src/note/entry.ts';
import { writeNotesJson } from '../../../src/note/notes-json.ts';
import { entry } from '../note/make.ts';

const root = resolve(import.meta.dirname, '../../..');
let folder: string;
let shot: string;

function ready(...args: string[]): Promise<{ code: number; stdout: string; stderr: string }> {
  return new Promise((done) => {
    execFile(
      process.execPath,
      ['--import', 'tsx', join(root, 'src/cli/main.ts'), 'ready', ...args, '--quiet'],
      { cwd: root, maxBuffer: 1 << 26 },
      (error, stdout, stderr) => done({ code: error ? Number(error.code) : 0, stdout, stderr }),
    );
  });
}

const draw = async (name: string, x: number, colour = 'black'): Promise<void> => {
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="320" height="240"><rect width="320" height="240" fill="white"/><circle cx="${x}" cy="120.1" r="60" fill="none" stroke="${colour}" stroke-width="4"/></svg>`;
  await sharp(Buffer.from(svg))
    .png()
    .toFile(join(shot, 'clean', name));
};
const sayAll = async (bodies: readonly Body[]): Promise<void> => {
  await mkdir(join(shot, 'fairpeg'), { recursive: true });
  const entries = bodies.map((body) => entry(body));
  await writeFile(join(shot, 'fairpeg/entries.json'), writeNotesJson(entries, { shot: 'shot-1' }));
};
const approved: Body[] = ['1', '2'].map((drawing) => ({
  kind: 'drawing state',
  level: '',
  drawing,
  state: 'approved',
}));
const house: Body = {
  kind: 'house rules',
  edges: 'soft',
  paper: 'white',
  colours: [{ colour: '#000000', what: '' }],
  withinLevels: 4,
};

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'fairpeg-ready-'));
  shot = join(folder, 'shot');
  await mkdir(join(shot, 'clean'), { recursive: true });
  await draw('0001.png', 140.3);
  await draw('0002.png', 170.8);
  const drawings = [
    { label: '1', role: 'key' },
    { label: '2', role: 'key' },
  ];
  const exposures = ['1', '2'].map((drawing, n) => ({ drawing, frame: 1 + 2 * n, length: 2 }));
  await writeFile(
    join(shot, 'shot.json'),
    JSON.stringify({
      id: 'shot-1',
      title: 'Two rings',
      fps: 24,
      levels: [{ name: '', drawings, exposures }],
    }),
  );
}, 60_000);
afterAll(() => rm(folder, { recursive: true, force: true }));

it('a shot that nobody approved is not ready; approved and within the rules it is, and its proof says of what', async () => {
  const before = await ready(shot);
  expect(before.code, before.stderr).toBe(1);
  expect(before.stdout).toContain('1, 2: is clean, not approved');
  await sayAll([...approved, house]);
  const after = await ready(shot, '--json', '--beside');
  expect(after.stdout + after.stderr).toContain('"ready": true');
  expect(after.code).toBe(0);
  const schema = JSON.parse(await readFile(join(root, 'public/schemas/ready.schema.json'), 'utf8')) as object;
  const validate = new Ajv2020({ allErrors: true, strictTypes: false }).compile(schema);
  const proof = JSON.parse(after.stdout) as { levels: { drawings: { label: string; sha256: string }[] }[] };
  validate(proof);
  expect(validate.errors).toBeNull();
  expect(validate({ ...proof, ready: 'yes' })).toBe(false);
  expect(await readFile(join(shot, 'fairpeg/ready.json'), 'utf8')).toBe(after.stdout);
  expect((await readFile(join(shot, 'fairpeg/ready.pdf'))).subarray(0, 5).toString()).toBe('%PDF-');
  for (const { label, sha256 } of proof.levels[0]?.drawings ?? []) {
    const bytes = await readFile(join(shot, `clean/000${label}.png`));
    expect(sha256).toBe(createHash('sha256').update(bytes).digest('hex'));
  }
}, 240_000);

it('what was proved holds until a picture changes; a colour the house does not know stands in the way', async () => {
  const proof = join(shot, 'fairpeg/ready.json');
  const still = await ready(shot, '--still', proof);
  expect(still.stdout).toContain('as it was proved ready');
  expect(still.code).toBe(0);
  await draw('0002.png', 170.8, 'rgb(30,60,220)');
  const changed = await ready(shot, '--still', proof);
  expect(changed.stdout).toContain('Drawing 2 is another picture');
  expect(changed.code).toBe(1);
  const now = await ready(shot);
  expect(now.stdout).toContain('2: a colour that the house does not know: #1e3cdc');
  expect(now.code).toBe(1);
}, 240_000);

it('says what is wrong with a command line or a file of rules, and exits with 2', async () => {
  const rules = join(folder, 'rules.json');
  await writeFile(rules, '{ "edges": "wavy" }');
  const wrong: [string[], string][] = [
    [[], 'Name the folder'],
    [[shot, '--json', '--pdf', '-'], 'Only one of'],
    [[shot, '--house', rules], 'edges does not fit'],
    [[shot, '--still', rules], 'was not written by fairpeg ready'],
  ];
  for (const [args, words] of wrong) {
    const { code, stderr } = await ready(...args);
    expect(stderr).toContain(words);
    expect(code).toBe(2);
  }
}, 240_000);
