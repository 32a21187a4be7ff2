/** The command line on the sample shots: planted faults found, its JSON against its schema, its exit codes. */
import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, readFile, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import Ajv2020 from 'ajv/dist/2020.js';
import { zipSync } from 'fflate';
import sharp from 'sharp';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Finding } from '../../../src/check/finding.ts';
import type { Report } from '../../../src/check/report.ts';
import type { Box } from '../../../src/line/picture.ts';
import { readCsv } from '../../../src/shot/csv.ts';
import { makeApng } from '../intake/png-files.ts';

const root = resolve(import.meta.dirname, '../../..');

interface Planted {
  readonly shot: string;
  readonly level: string;
  readonly drawing: string;
  readonly check: Finding['check'];
  readonly bbox: Box;
  readonly amount: number;
  readonly alsoSeenBy?: readonly string[];
}

function fairpeg(...args: string[]): Promise<{ code: number; stdout: string; stderr: string }> {
  return new Promise((done) => {
    execFile(
      process.execPath,
      ['--import', 'tsx', join(root, 'src/cli/main.ts'), ...args],
      { cwd: root, maxBuffer: 1 << 28 },
      (error, stdout, stderr) => done({ code: error ? Number(error.code) : 0, stdout, stderr }),
    );
  });
}

describe('fairpeg check', () => {
  const shots = ['wenna-hears-the-ferry', 'kite-takes-a-gust'];
  const reports = new Map<string, Report>();
  let planted: Planted[] = [];

  beforeAll(async () => {
    planted = (
      JSON.parse(await readFile(join(root, 'sample-shots/planted-faults.json'), 'utf8')) as {
        faults: Planted[];
      }
    ).faults;
    for (const shot of shots) {
      const { code, stdout } = await fairpeg('check', join('sample-shots', shot), '--json', '--quiet');
      expect(code, 'findings are exit code 1').toBe(1);
      reports.set(shot, JSON.parse(stdout) as Report);
    }
  }, 400_000);

  const answers = (fault: Planted, finding: Finding) =>
    finding.level === fault.level &&
    finding.drawing === fault.drawing &&
    (finding.check === fault.check || (fault.alsoSeenBy?.includes(finding.check) ?? false));

  it('finds every planted fault, at its place', () => {
    const missed = planted.filter(
      (fault) =>
        !reports
          .get(fault.shot)!
          .findings.some(
            (finding) =>
              answers(fault, finding) && finding.check === fault.check && overlaps(finding.bbox, fault.bbox),
          ),
    );
    expect(missed).toEqual([]);
    expect(planted.length).toBeGreaterThanOrEqual(10);
  });

  it('tells how much: specks to one, gaps within 2 px, shares and fractions within 0.03', () => {
    // Spacing and weight as planted; a swollen head grows its regions unevenly, as they cover one another.
    const within: Partial<Record<Finding['check'], number>> = {
      specks: 0,
      leaks: 2,
      weight: 0.03,
      spacing: 0.03,
    };
    for (const fault of planted) {
      const most = within[fault.check];
      if (most === undefined) continue;
      const found = reports
        .get(fault.shot)!
        .findings.filter((finding) => answers(fault, finding) && overlaps(finding.bbox, fault.bbox));
      const off = found.map(({ amount }) => Math.abs(amount - fault.amount));
      expect(Math.min(...off), `${fault.drawing} ${fault.check}: ${fault.amount}`).toBeLessThanOrEqual(most);
    }
  });

  it('calls out at most one thing in twenty drawings that was not planted', () => {
    const drawings = [...reports.values()].reduce(
      (sum, { levels }) => sum + levels.reduce((n, level) => n + level.drawings.length, 0),
      0,
    );
    const wrong = [...reports].flatMap(([shot, { findings }]) =>
      findings.filter((finding) => !planted.some((fault) => fault.shot === shot && answers(fault, finding))),
    );
    expect(drawings).toBeGreaterThan(40);
    expect(
      wrong.length,
      JSON.stringify(wrong.map(({ drawing, message }) => [drawing, message])),
    ).toBeLessThanOrEqual(drawings / 20);
  });

  it('writes JSON as its schema says, keys that are unique, boxes on the paper', async () => {
    const schema = JSON.parse(
      await readFile(join(root, 'public/schemas/check.schema.json'), 'utf8'),
    ) as object;
    const validate = new Ajv2020({ allErrors: true }).compile(schema);
    for (const report of reports.values()) {
      validate(report);
      expect(validate.errors).toBeNull();
      const keys = report.findings.map(({ key }) => key);
      expect(new Set(keys).size).toBe(keys.length);
      for (const { bbox } of report.findings) {
        expect(bbox[0]).toBeGreaterThanOrEqual(0);
        expect(bbox[1]).toBeGreaterThanOrEqual(0);
      }
    }
    expect(validate({ fairpeg: 1, title: '', levels: [{}], findings: [] })).toBe(false);
  });

  it('says what is wrong with a command line, and exits with 2', async () => {
    const wrong: [string[], string][] = [
      [['check'], 'Name the folder'],
      [['check', 'a', '--json', '--csv'], 'Choose either'],
      [['check', 'a', '--workers', 'many'], '--workers takes a whole number'],
      [['check', 'a', '--set', 'weigth=1'], 'There is no tolerance “weigth”'],
      [['check', join(tmpdir(), 'no-such-shot')], 'no-such-shot'],
      [['chekc'], 'there is no command “chekc”'],
      [['path', 'sample-shots/kite-takes-a-gust', '1', '7 0'], 'The place is X,Y in px, not “7 0”'],
      [['path', 'sample-shots/kite-takes-a-gust', '1', '700,500'], 'say --level'],
    ];
    for (const [args, words] of wrong) {
      const { code, stderr, stdout } = await fairpeg(...args);
      expect([code, stdout], args.join(' ')).toEqual([2, '']);
      expect(stderr).toContain(words);
    }
  });

  it('names why each file was refused, in a zip too, where nothing can be read', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'shot-'));
    const zip = join(folder, 'sc04.zip');
    await writeFile(
      zip,
      zipSync({
        'clean/1.png': Buffer.from('GIF89a, it is'),
        'clean/2.png': new Uint8Array(),
        ...Object.fromEntries(Array.from({ length: 50 }, (_, i) => [`notes/${i}.txt`, Buffer.from('note')])),
      }),
    );
    const { code, stderr } = await fairpeg('check', zip);
    expect(code).toBe(2);
    expect(stderr.trim().split('\n')).toEqual([
      `fairpeg: ${zip} holds no drawing that can be read. Look whether it is the right folder.`,
      'sc04/clean/1.png: it is a GIF picture. Export it as PNG.',
      'sc04/clean/2.png: it is empty (0 bytes). Copy or export it again.',
      'sc04: 50 files (0.txt, 1.txt, 10.txt, …): each is no picture this app knows. They were left out.',
    ]);
  });

  it('exits with 2 where there is no clean at all, and tells an animation and a white line on black', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'shot-'));
    const svg = Buffer.from(
      '<svg xmlns="http://www.w3.org/2000/svg" width="300" height="200"><rect width="300" height="200"/><circle cx="150" cy="100" r="70" fill="none" stroke="#fff" stroke-width="4"/></svg>',
    );
    await mkdir(join(folder, 'rough'));
    await writeFile(join(folder, 'rough/1.png'), await sharp(svg).png().toBuffer());
    await writeFile(join(folder, 'rough/3.png'), makeApng({ colour: 2, depth: 8, interlaced: false }));
    const { code, stderr, stdout } = await fairpeg('check', folder, '--json');
    expect([code, stdout]).toEqual([2, '']);
    expect(stderr).toContain('rough/1.png: it is white line on black; it was taken, and is not measured.');
    expect(stderr).toContain('rough/3.png: it is animated; its first frame was taken.');
    expect(stderr).toContain('there is no clean-up in it, so there is nothing to measure.');
  });

  it('names a damaged drawing, measures the rest, and keeps tolerances from a file', async () => {
    // A name of its own: one by chance may hold an r by itself, which reads as a rough.
    const folder = join(await mkdtemp(join(tmpdir(), 'shot-')), 'tail');
    await mkdir(folder);
    const clean = join(root, 'sample-shots/kite-takes-a-gust/tail/clean');
    for (const name of ['0001.png', '0003.png']) {
      await writeFile(join(folder, name), await readFile(join(clean, name)));
    }
    await writeFile(join(folder, '0005.png'), (await readFile(join(clean, '0005.png'))).subarray(0, 900));
    const tolerances = join(folder, '..', `tolerances-${process.pid}.json`);
    await writeFile(tolerances, JSON.stringify({ weight: 5, boilPx: 900 }));
    const { stderr, stdout, code } = await fairpeg('check', folder, '--csv', '--tolerances', tolerances);
    expect(stderr).toContain('0005.png');
    expect(code).toBeLessThan(2);
    expect(readCsv(stdout)[0]).toEqual([
      'check',
      'level',
      'drawing',
      'x',
      'y',
      'width',
      'height',
      'amount',
      'message',
    ]);
  });
});

function overlaps(a: Box, b: Box): boolean {
  return a[0] < b[0] + b[2] && b[0] < a[0] + a[2] && a[1] < b[1] + b[3] && b[1] < a[1] + a[3];
}

describe('fairpeg path', () => {
  /** A barred triangle that moves evenly on a circle; on drawing 4 it lies 12 px farther out. */
  const middleOf = (label: number): readonly [number, number] => {
    const angle = 0.15 * label;
    const radius = label === 4 ? 412 : 400;
    return [100 + radius * Math.sin(angle), 480 - radius * Math.cos(angle)];
  };
  let folder = '';

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'path-'));
    await mkdir(join(folder, 'clean'));
    for (let label = 1; label <= 7; label++) {
      const [x, y] = middleOf(label);
      const lines = `<path d="M${x - 50} ${y + 40}L${x} ${y - 45}L${x + 60} ${y + 30}Z M${x - 20} ${y + 10}L${x + 25} ${y + 8}"/>`;
      const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="600" height="420"><rect width="600" height="420" fill="#fff"/><g fill="none" stroke="#000" stroke-width="4">${lines}</g></svg>`;
      await sharp(Buffer.from(svg))
        .png()
        .toFile(join(folder, 'clean', `000${label}.png`));
    }
  });

  it('follows a corner within 2 px, calls out the drawing that leaves the circle, and says so by its exit code', async () => {
    const [x, y] = middleOf(2);
    const place = `${(x + 60).toFixed(1)},${(y + 30).toFixed(1)}`;
    const { code, stdout, stderr } = await fairpeg('path', folder, '2', place, '--json', '--quiet');
    expect(stderr).toBe('');
    expect(code).toBe(1);
    const told = JSON.parse(stdout) as {
      dots: { drawing: string; at: [number, number]; off: boolean; offArcPx: number | null }[];
    };
    const schema = JSON.parse(
      await readFile(join(root, 'public/schemas/path.schema.json'), 'utf8'),
    ) as object;
    const validate = new Ajv2020({ allErrors: true }).compile(schema);
    validate(told);
    expect(validate.errors).toBeNull();
    expect(told.dots).toHaveLength(7);
    for (const { drawing, at } of told.dots) {
      const [cx, cy] = middleOf(Number(drawing));
      expect(Math.hypot(at[0] - cx - 60, at[1] - cy - 30), `drawing ${drawing}`).toBeLessThan(2);
    }
    expect(told.dots.filter(({ off }) => off).map(({ drawing }) => drawing)).toEqual(['4']);
    expect(told.dots[3]!.offArcPx!).toBeGreaterThan(10);
    expect(told.dots[3]!.offArcPx!).toBeLessThan(14);
  });

  it('says in one sentence why a place cannot be followed', async () => {
    const { code, stdout, stderr } = await fairpeg('path', folder, '2', '590,10', '--quiet');
    expect(code).toBe(2);
    expect(stdout).toContain('not followed');
    expect(stderr).toMatch(/^fairpeg path: The place could not be followed to any other drawing: .+\n$/);
  });
});
