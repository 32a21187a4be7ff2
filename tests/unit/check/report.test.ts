/** What `check --json` says of lists that nobody reads to their end. Counts by hand. */
import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { expect, test } from 'vitest';
import type { ShotMeasures } from '../../../src/check/checker.ts';
import type { Finding } from '../../../src/check/finding.ts';
import { measureKey, type Results } from '../../../src/check/jobs.ts';
import { reportOf } from '../../../src/check/report.ts';
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
