/** `fairpeg fixlist` on a sample shot with a note beside it: its files are read back. */
import { execFile, execFileSync } from 'node:child_process';
import { cp, lstat, mkdir, mkdtemp, readdir, readFile, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { strFromU8, unzipSync } from 'fflate';
import Papa from 'papaparse';
import { beforeAll, expect, test } from 'vitest';

const root = resolve(import.meta.dirname, '../../..');
let folder = '';

function fixlist(...args: string[]): Promise<{ code: number; stdout: string; stderr: string }> {
  const command = ['--import', 'tsx', join(root, 'src/cli/main.ts'), 'fixlist', ...args];
  return new Promise((done) => {
    execFile(process.execPath, command, { cwd: root }, (error, stdout, stderr) =>
      done({ code: error ? Number(error.code) : 0, stdout, stderr }),
    );
  });
}

beforeAll(async () => {
  folder = join(await mkdtemp(join(tmpdir(), 'fairpeg-fixlist-')), 'kite');
  await cp(join(root, 'sample-shots/kite-takes-a-gust'), folder, { recursive: true });
  const shot = JSON.parse(await readFile(join(folder, 'shot.json'), 'utf8'));
  const [level] = shot.levels;
  const { label } = level.drawings[0];
  const entry = {
    v: 1,
    id: 'pin-1',
    shot: shot.id,
    writer: { id: 'p', name: 'Inès', role: 'director' },
    stamp: { wallMs: 1000, counter: 0 },
    body: {
      kind: 'pin',
      level: level.name,
      drawing: label,
      drawings: [label],
      image: 'ab',
      sizePx: [1920, 1080],
      at: [960, 540],
      strokes: [],
      about: 'line',
      text: '=the tail, "loose"',
    },
  };
  await mkdir(join(folder, 'fairpeg'));
  await writeFile(
    join(folder, 'fairpeg/entries.json'),
    JSON.stringify({ v: 1, entries: [entry, { id: 'bad' }] }),
  );
}, 60_000);

test('the CSV holds the note, its formula made harmless; a broken entry is named', async () => {
  const { code, stdout, stderr } = await fixlist(folder, '--csv', '-', '--no-check');
  expect(code).toBe(1);
  expect(stderr).toMatch(/Entry bad: .*left out/);
  const { data } = Papa.parse<Record<string, string>>(stdout.replace(/^\uFEFF/, ''), {
    header: true,
    skipEmptyLines: true,
  });
  expect(data).toHaveLength(1);
  // The middle of the paper is the centre of a field chart (common practice, no source).
  expect(data[0]).toMatchObject({ Who: 'Inès', Text: `'=the tail, "loose"`, Field: 'centre', State: 'open' });
}, 60_000);

test('JSON-LD is written to the file named; a wrong command line is exit code 2', async () => {
  const out = join(folder, '../out.jsonld');
  expect((await fixlist(folder, '--jsonld', out, '--no-check')).code).toBe(1);
  expect(JSON.parse(await readFile(out, 'utf8')).items).toHaveLength(1);
  expect((await fixlist(folder)).code).toBe(2);
}, 60_000);

test('the PDF has Letter’s size and the note’s words, read back by pdf.js', async () => {
  const out = join(folder, '../out.pdf');
  expect((await fixlist(folder, '--pdf', out, '--paper', 'Letter', '--no-check')).code).toBe(1);
  const { getDocument } = await import('pdfjs-dist/legacy/build/pdf.mjs');
  const doc = await getDocument({ data: new Uint8Array(await readFile(out)), verbosity: 0 }).promise;
  const page = await doc.getPage(1);
  // ANSI A: 8.5 × 11 in, 72 points an inch.
  expect(page.view).toEqual([0, 0, 612, 792]);
  const { items } = await page.getTextContent();
  expect(items.map((item) => ('str' in item ? item.str : '')).join(' ')).toContain('=the tail, "loose"');
}, 60_000);

test('a pack holds drawings and notes: read again it gives the same table, and the same pack', async () => {
  const [pack, again, fromFolder, fromPack] = ['one.zip', 'two.zip', 'one.csv', 'two.csv'].map((name) =>
    join(folder, '..', name),
  ) as [string, string, string, string];
  expect((await fixlist(folder, '--pack', pack, '--csv', fromFolder, '--no-check')).code).toBe(1);
  expect((await fixlist(pack, '--pack', again, '--csv', fromPack, '--no-check')).code).toBe(1);
  expect(await readFile(fromPack, 'utf8')).toBe(await readFile(fromFolder, 'utf8'));
  // Unpacked by a general-purpose library (fflate).
  const [one, two] = [unzipSync(await readFile(pack)), unzipSync(await readFile(again))];
  expect(Object.keys(two)).toEqual(Object.keys(one));
  for (const [path, bytes] of Object.entries(one)) expect(two[path], path).toEqual(bytes);
  const files = await readdir(folder, { recursive: true });
  const pictures = (paths: readonly string[]) => paths.filter((path) => path.endsWith('.png')).length;
  expect(pictures(Object.keys(one))).toBe(pictures(files));
  const notes = Object.entries(one).find(([path]) => path.endsWith('fairpeg/entries.json'));
  expect(JSON.parse(strFromU8(notes?.[1] ?? new Uint8Array())).entries).toHaveLength(1);
}, 120_000);

test('what is no file is written to and stays what it is; nothing is left beside a file', async () => {
  const [pipe, out] = [join(folder, '../pipe'), join(folder, '../plain.csv')] as const;
  execFileSync('mkfifo', [pipe]);
  const [{ code }, read] = await Promise.all([
    fixlist(folder, '--csv', pipe, '--jsonld', out, '--no-check'),
    readFile(pipe, 'utf8'),
  ]);
  expect(code).toBe(1);
  expect(read).toContain('the tail, ""loose""');
  expect((await lstat(pipe)).isFIFO()).toBe(true);
  expect((await readdir(join(folder, '..'))).filter((name) => name.includes('.part'))).toEqual([]);
  expect(JSON.parse(await readFile(out, 'utf8'))).toMatchObject({ type: 'AnnotationPage' });
}, 60_000);

test('a broken file of notes is named and nothing is written; notes of another shot are told', async () => {
  const broken = join(folder, '../broken');
  await cp(folder, broken, { recursive: true });
  await writeFile(join(broken, 'fairpeg/entries.json'), '{"entries": [');
  const out = join(folder, '../broken.csv');
  const { code, stderr } = await fixlist(broken, '--csv', out, '--no-check');
  expect(code).toBe(2);
  expect(stderr).toContain('broken/fairpeg/entries.json: it is not JSON.');
  await expect(readFile(out)).rejects.toThrow('ENOENT');
  const shot = JSON.parse(await readFile(join(broken, 'shot.json'), 'utf8'));
  await writeFile(join(broken, 'shot.json'), JSON.stringify({ ...shot, id: 'another' }));
  await cp(join(folder, 'fairpeg/entries.json'), join(broken, 'fairpeg/entries.json'));
  const other = await fixlist(broken, '--csv', '-', '--no-check');
  expect(other.code).toBe(0);
  expect(other.stderr).toContain(
    'one entry speaks of another shot (“sample-kite-takes-a-gust”) and was left out',
  );
}, 60_000);

test('what the checks find goes into the list and the pack, and is read from there without measuring', async () => {
  // The cuff of drawing 13 opens at 840, 890 over 27 × 19 px of 2048 × 1152 (sample-shots/planted-faults.json): its
  // middle lies 2.0 of 12 fields west and 6.7 south of the centre, by hand.
  const one = join(folder, '../one-drawing');
  for (const layer of ['rough', 'clean'])
    await cp(
      join(root, 'sample-shots/wenna-hears-the-ferry', layer, '0013.png'),
      join(one, layer, '0013.png'),
      { recursive: true },
    );
  const [pack, measured, read] = ['one.zip', 'm.csv', 'r.csv'].map((name) => join(folder, '..', name)) as [
    string,
    string,
    string,
  ];
  expect((await fixlist(one, '--csv', measured, '--pack', pack)).code).toBe(1);
  const { data } = Papa.parse<Record<string, string>>((await readFile(measured, 'utf8')).slice(1), {
    header: true,
    skipEmptyLines: true,
  });
  expect(data).toContainEqual(expect.objectContaining({ Drawing: '13', About: 'leaks', Field: '2W 6.7S' }));
  expect((await fixlist(pack, '--csv', read, '--no-check')).code).toBe(1);
  expect(await readFile(read, 'utf8')).toBe(await readFile(measured, 'utf8'));
}, 120_000);

test('what is not there, is empty or cannot be written to is said in a sentence with a way on', async () => {
  const nowhere = await fixlist(join(folder, 'nowhere'), '--csv', '-');
  expect(nowhere.code).toBe(2);
  expect(nowhere.stderr).toMatch(
    /nowhere: there is no such file or folder; look whether the name is right\.$/m,
  );
  const empty = join(folder, '../empty');
  await mkdir(empty, { recursive: true });
  expect((await fixlist(empty, '--csv', '-')).stderr).toMatch(/empty holds no drawing.*\. Look whether/);
  const { code, stderr } = await fixlist(folder, '--csv', join(folder, 'nowhere/x.csv'), '--no-check');
  expect(code).toBe(2);
  expect(stderr).toMatch(/x\.csv could not be written: there is no such file or folder; look/);
  expect(stderr).not.toContain('ENOENT');
}, 60_000);
