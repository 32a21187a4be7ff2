/** What `check --json` says of lists that nobody reads to their end. Counts by hand. */
import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { expect, test } from 'vitest';
import type { ShotMeasures } from '../../../src/check/checker.ts';
import type { Finding } from '../../../src/check/finding.ts';
import { findingsOf } from '../../../src/check/findings.ts';
import { measureKey, type Results } from '../../../src/check/jobs.ts';
import { reportOf } from '../../../src/check/report.ts';
import { defaultTolerances } from '../../../src/check/tolerances.ts';
import { measureDrawing } from '../../../src/line/measure-drawing.ts';
import type { Picture } from '../../../src/line/picture.ts';

test('a list is cut at a thousand, and how long it is stands beside it', () => {
  // 40 rows of 60 specks of 3 × 3 px under a line.
  const paper: Picture = { width: 640, height: 480, channels: 1, data: new Uint8Array(640 * 480).fill(255) };
  const ink = (x: number, y: number, width: number, height: number): void => {
    for (let row = y; row < y + height; row++) paper.data.fill(0, row * 640 + x, row * 640 + x + width);
  };
  ink(20, 20, 600, 6);
  for (let n = 0; n < 2400; n++) ink(20 + (n % 60) * 10, 50 + Math.floor(n / 60) * 10, 3, 3);
  const image = {
    sha256: 'a'.repeat(64),
    byteLength: 1,
    width: 640,
    height: 480,
    mediaType: 'image/png',
  } as const;
  const drawing = { label: '1', takes: [{ number: 1, image }] };
  const key = measureKey(drawing, 24) ?? '';
  const results = { [key]: measureDrawing(paper, undefined) } as unknown as Record<
    string,
    Results['drawing']
  >;
  const measures = { results: new Map(Object.entries(results)), failed: new Map() } as ShotMeasures;
  const shot = {
    id: 's',
    title: 'Specks',
    fps: 24,
    sizePx: [640, 480] as const,
    levels: [{ name: '', drawings: [drawing], exposures: [] }],
  };
  const finding = {
    check: 'specks',
    level: '',
    drawing: '1',
    bbox: [0, 0, 3, 3],
    amount: 9,
    message: 'a speck',
    lineDigest: '0',
  };
  const findings = Array.from(
    { length: 1200 },
    (_, n) => ({ ...finding, key: `${n}` }) as unknown as Finding,
  );
  const report = reportOf(shot, measures, findings, 24);
  expect([report.findings.length, report.findingCount]).toEqual([1000, 1200]);
  const [one] = report.levels[0]?.drawings ?? [];
  expect([(one?.['specks'] as unknown[] | undefined)?.length, one?.['speckCount']]).toEqual([1000, 2400]);
  const schema = JSON.parse(readFileSync('public/schemas/check.schema.json', 'utf8')) as object;
  const validate = new Ajv2020().compile(schema);
  validate(JSON.parse(JSON.stringify(report)));
  expect(validate.errors).toBeNull();
});

test('a part is told over the shot: against its run, or why that is not known', () => {
  // A frame of 6 px line, 200 × 100 px to the middle of it, that walks to the right; the fourth is 212 × 106.
  const sizes = [0, 1, 2, 3, 4, 5, 6].map((n) => (n === 3 ? ([212, 106] as const) : ([200, 100] as const)));
  const results = new Map<string, Results['drawing']>();
  const drawings = sizes.map(([wide, high], n) => {
    const picture: Picture = {
      width: 640,
      height: 480,
      channels: 1,
      data: new Uint8Array(640 * 480).fill(255),
    };
    const ink = (x: number, y: number, width: number, height: number): void => {
      for (let row = y; row < y + height; row++) picture.data.fill(0, row * 640 + x, row * 640 + x + width);
    };
    const [left, top] = [40 + 30 * n, 120];
    for (const y of [top, top + high]) ink(left, y, wide + 6, 6);
    for (const x of [left, left + wide]) ink(x, top, 6, high + 6);
    const image = {
      sha256: String(n).repeat(64),
      byteLength: 1,
      width: 640,
      height: 480,
      mediaType: 'image/png',
    } as const;
    const drawing = { label: String(n + 1), takes: [{ number: 1, image }] };
    results.set(measureKey(drawing, 24) ?? '', measureDrawing(picture, undefined));
    return drawing;
  });
  const measures = { results, failed: new Map() } as ShotMeasures;
  const shot = {
    id: 's',
    title: 'A frame',
    fps: 24,
    sizePx: [640, 480] as const,
    levels: [{ name: '', drawings, exposures: [] }],
  };
  const findings = findingsOf(shot, measures, defaultTolerances);
  // (212 × 106) / (200 × 100) = 1.1236. No rough says whose it is.
  expect(findings.map(({ drawing, message }) => `${drawing}: ${message}`)).toEqual([
    '4: volume pops: 12 % larger than in the drawings around it, in the middle',
  ]);
  const report = reportOf(shot, measures, findings, 24);
  const partsOf = (n: number) =>
    (report.levels[0]!.drawings[n]!['volume'] as { parts: { againstRun: unknown; whose?: string }[] }).parts;
  expect(Math.abs(Number(partsOf(3)[0]?.againstRun) - 1.1236)).toBeLessThan(0.004);
  expect(partsOf(3)[0]).not.toHaveProperty('whose');
  expect([1, 2, 4, 5].map((n) => partsOf(n)[0]?.againstRun)).toEqual([1, 1, 1, 1]);
  expect(partsOf(0)[0]?.againstRun).toEqual({ refused: 'no drawing lies on the other side of it' });
  const schema = JSON.parse(readFileSync('public/schemas/check.schema.json', 'utf8')) as object;
  const validate = new Ajv2020().compile(schema);
  validate(JSON.parse(JSON.stringify(report)));
  expect(validate.errors).toBeNull();
});
