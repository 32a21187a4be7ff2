import type { Drift } from '../line/drift.ts';
import type { DrawingMeasures } from '../line/measure-drawing.ts';
import { isRefused, type Refused } from '../line/refused.ts';
import type { Speck } from '../line/specks.ts';
import type { Shot } from '../shot/model.ts';
import { cleanOf } from '../shot/takes.ts';
import { againstExtremes } from './against-extremes.ts';
import type { ShotMeasures } from './checker.ts';
import type { Finding } from './finding.ts';
import { keysWeightPx, type Measured, measuredOf } from './measured.ts';
import { type PartRun, volumeRuns } from './volume-run.ts';

/** What a check wrote: see `public/schemas/check.schema.json`. Lengths are image px. */
export interface Report {
  readonly fairpeg: 1;
  readonly title: string;
  readonly levels: readonly { readonly name: string; readonly drawings: readonly DrawingReport[] }[];
  /** The first 1,000; `findingCount` counts all. */
  readonly findings: readonly Finding[];
  readonly findingCount: number;
}

/** A drawing that is all specks has a hundred thousand; nobody reads further than this. */
const longestList = 1000;

type DrawingReport = { readonly label: string } & Readonly<Record<string, unknown>>;

/** The whole shot's measures and findings as plain data, lengths rounded to a thousandth. */
export function reportOf(
  shot: Shot,
  measures: ShotMeasures,
  findings: readonly Finding[],
  mostGapPx: number,
): Report {
  const levels = shot.levels.map((level) => {
    const measured = measuredOf(level, measures, mostGapPx);
    const keysPx = keysWeightPx(measured);
    const runs = volumeRuns(measured);
    return {
      name: level.name,
      drawings: measured.map((one, k) => drawingReport(one, keysPx, measured, runs[k]!)),
    };
  });
  return rounded({
    fairpeg: 1,
    title: shot.title,
    levels,
    findings: findings.slice(0, longestList),
    findingCount: findings.length,
  });
}

function drawingReport(
  one: Measured,
  keysPx: number | undefined,
  level: readonly Measured[],
  runs: readonly PartRun[],
): DrawingReport {
  const { drawing, measures, boil, failed } = one;
  const { label, role } = drawing;
  const image = cleanOf(drawing) ?? drawing.rough;
  const base = {
    label,
    ...(role && { role }),
    ...(drawing.runsOn && { runsOn: true }),
    sizePx: measures?.sizePx ?? [image?.width ?? 0, image?.height ?? 0],
  };
  const none: Refused = { refused: failed ?? 'there is no clean-up of this drawing' };
  if (!measures) {
    const names = [
      'weight',
      'volume',
      'drift',
      'leaks',
      'specks',
      'pinholes',
      'spacing',
      'boil',
      'wobble',
      'registration',
    ];
    return { ...base, ...Object.fromEntries(names.map((name) => [name, none])) };
  }
  const { weight, volume, drift, leaks, specks, registration, wobble } = measures;
  return {
    ...base,
    weight: isRefused(weight)
      ? weight
      : { ...weight, againstKeys: keysPx ? weight.medianPx / keysPx - 1 : { refused: 'no key is measured' } },
    volume: isRefused(volume)
      ? volume
      : { ...volume, againstExtremes: againstExtremes(one, level), parts: runs.map(partReport) },
    drift: isRefused(drift) ? drift : toldOf(drift),
    ...counted('leaks', 'leakCount', leaks),
    ...counted('specks', 'speckCount', ofKind(specks, 'speck')),
    ...counted('pinholes', 'pinholeCount', ofKind(specks, 'pinhole')),
    spacing: spacingReport(one),
    boil: boil
      ? isRefused(boil)
        ? boil
        : { ...boil, patches: undefined }
      : { refused: 'no drawing comes before this one' },
    wobble,
    registration,
  };
}

function spacingReport({ drawing: { chart, runsOn }, spacing, chartParts }: Measured): object {
  if (runsOn) return { refused: 'it runs on after the pose, held to no chart' };
  if (!chart) return { refused: 'no chart says where this drawing lies' };
  if (!spacing) return { refused: `${chart.from} or ${chart.to} has no clean-up to measure against` };
  const named = chartParts?.map(({ found, bbox, words, fraction }) => {
    const place = { words, bbox, chart: fraction };
    return isRefused(found)
      ? { ...place, refused: found.refused }
      : { ...place, ...found, asCharted: undefined };
  });
  if (isRefused(spacing)) return { refused: spacing.refused, ...(named && { named }) };
  const { patches: _, mostError: __, ...told } = spacing;
  return { from: chart.from, to: chart.to, chart: chart.fraction, ...told, ...(named && { named }) };
}

/** A part over the shot: its area as a ratio to what the drawings around it lead to, and whose a change is. */
function partReport({ bbox, part, off, refused, whose }: PartRun) {
  return {
    bbox,
    ...(part && { areaPx2: part.areaPx2 }),
    againstRun: off === undefined ? { refused } : 1 + off,
    ...(off && whose && { whose }),
  };
}

/** The list's head, and beside it how long it is. */
function counted(name: string, count: string, list: Refused | readonly unknown[]): Record<string, unknown> {
  if (isRefused(list)) return { [name]: list };
  return { [name]: list.slice(0, longestList), [count]: list.length };
}

function ofKind(specks: DrawingMeasures['specks'], wanted: Speck['kind']) {
  if (isRefused(specks)) return specks;
  return specks.flatMap(({ kind, ...speck }) => (kind === wanted ? speck : []));
}

/** Without the heat's values, point by point. */
function toldOf({
  medianPx,
  p95Px,
  tolerancePx,
  roughWidthPx,
  roughStrayPx,
  runs,
}: Drift): Omit<Drift, 'alongPx'> {
  return { medianPx, p95Px, tolerancePx, roughWidthPx, roughStrayPx, runs };
}

function rounded<T>(value: T): T {
  if (typeof value === 'number')
    return (Number.isFinite(value) ? Math.round(value * 1000) / 1000 : null) as T;
  if (Array.isArray(value)) return value.map(rounded) as T;
  if (value === null || typeof value !== 'object') return value;
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, rounded(inner)])) as T;
}
