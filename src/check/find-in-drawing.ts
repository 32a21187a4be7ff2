import { boxGap, boxUnion } from '../line/box.ts';
import { beyond, type DriftRun } from '../line/drift.ts';
import { meantOpen } from '../line/in-rough.ts';
import type { Box } from '../line/picture.ts';
import { isRefused, type Refused } from '../line/refused.ts';
import type { Level } from '../shot/model.ts';
import { againstExtremes } from './against-extremes.ts';
import { type CheckName, type Finding, findingKey, lineDigest, placeInWords } from './finding.ts';
import type { Results } from './jobs.ts';
import { keysWeightPx, type Measured, recursNearby } from './measured.ts';
import { paperScale, type Tolerances } from './tolerances.ts';
import { count, percent, px } from './words.ts';

/** A small thing counts as the neighbours' own when it lies this near to theirs, px of a paper 2048 px wide. */
const RECURS_PX = 70;

type Report = (check: CheckName, bbox: Box, amount: number, message: string, kind?: string) => Finding;

/** Findings within one drawing, against its own rough and the keys. */
export function findInDrawing(
  level: Level,
  one: Measured,
  all: readonly Measured[],
  to: Tolerances,
): Finding[] {
  const { drawing, measures } = one;
  if (!measures) return [];
  const report: Report = (check, bbox, amount, message, kind) => ({
    key: findingKey(check, level.name, drawing.label, bbox, measures.sizePx, kind),
    check,
    level: level.name,
    drawing: drawing.label,
    bbox,
    amount,
    message,
    lineDigest: lineDigest(measures.digests, bbox),
  });
  return [
    ...weight(measures, keysWeightPx(all), to, report),
    ...drift(measures, to, report),
    ...volume(measures, to, report),
    ...volumeBetween(one, all, to, report),
    ...leaks(measures, all, to, report),
    ...specks(measures, all, report),
    ...registration(measures, to, report),
    ...wobble(measures, all, to, report),
  ];
}

function weight(
  { weight, inkBox }: Results['drawing'],
  keysPx: number | undefined,
  to: Tolerances,
  report: Report,
): Finding[] {
  if (isRefused(weight) || !keysPx) return [];
  const share = weight.medianPx / keysPx - 1;
  if (Math.abs(share) <= to.weight) return [];
  const way = share > 0 ? 'heavier' : 'lighter';
  return [report('weight', inkBox, share, `line ${percent(share)} ${way} than the keys`)];
}

function drift({ drift, sizePx }: Results['drawing'], to: Tolerances, report: Report): Finding[] {
  if (isRefused(drift)) return [];
  return together(
    drift.runs.filter((run) => isFault(run, to)),
    to.driftLengthPx,
  ).map((run) => {
    const place = placeInWords(run.bbox, sizePx);
    const strayPx = run.strayPx ?? 0;
    const loose = strayPx > to.driftPx / 2 ? `; its strokes stray by up to ${px(strayPx)} there` : '';
    const message = {
      displaced: `line lies ${px(run.maxPx)} off the rough ${place}, over ${px(run.lengthPx)}${loose}`,
      extra: `line of ${px(run.lengthPx)} ${place} that is not in the rough`,
      missed: `line of ${px(run.lengthPx)} in the rough ${place} is not in the clean-up`,
    }[run.kind];
    return report('drift', run.bbox, run.kind === 'displaced' ? run.maxPx : run.lengthPx, message, run.kind);
  });
}

/** Displaced runs that lie close together are one thing to redraw, so one finding. */
function together(runs: readonly DriftRun[], closePx: number): DriftRun[] {
  const out: DriftRun[] = [];
  for (const run of runs) {
    let joined = run;
    for (let k = out.length - 1; k >= 0; k--) {
      const other = out[k]!;
      if (run.kind !== 'displaced' || other.kind !== 'displaced') continue;
      if (boxGap(joined.bbox, other.bbox) > closePx) continue;
      joined = {
        ...joined,
        bbox: boxUnion(joined.bbox, other.bbox),
        lengthPx: joined.lengthPx + other.lengthPx,
        maxPx: Math.max(joined.maxPx, other.maxPx),
        strayPx: (joined.maxPx > other.maxPx ? joined : other).strayPx,
      };
      out.splice(k, 1);
      k = out.length;
    }
    out.push(joined);
  }
  return out;
}

/**
 * Regions under this share of the drawing's volume are details. At 0.02 a bow of the kite's tail, 29 px wide, is
 * called smaller where nothing is; the planted head is found at either.
 */
const LEAST_REGION = 0.04;

function volume({ volume, sizePx }: Results['drawing'], to: Tolerances, report: Report): Finding[] {
  if (isRefused(volume)) return [];
  const off = volume.regions.filter(({ againstRough = 1, areaPx2, perimeterPx }) => {
    const morePx2 = areaPx2 - areaPx2 / againstRough;
    return (
      Math.abs(againstRough - 1) > to.volume &&
      Math.abs(morePx2) > to.volumePx * perimeterPx &&
      areaPx2 > LEAST_REGION * volume.enclosedPx2
    );
  });
  return [1, -1].flatMap((sign) => {
    const same = off.filter(({ againstRough }) => Math.sign(againstRough! - 1) === sign);
    if (same.length === 0) return [];
    const cleanPx2 = same.reduce((sum, { areaPx2 }) => sum + areaPx2, 0);
    const roughPx2 = same.reduce((sum, { areaPx2, againstRough }) => sum + areaPx2 / againstRough!, 0);
    const share = cleanPx2 / roughPx2 - 1;
    const bbox = same.map((region) => region.bbox).reduce(boxUnion);
    const message = `volume ${percent(share)} ${sign > 0 ? 'larger' : 'smaller'} than the rough's ${placeInWords(bbox, sizePx)}`;
    return [report('volume', bbox, share, message, String(sign))];
  });
}

/** Without a rough to compare with, the two extremes say what volume a drawing should have. */
function volumeBetween(one: Measured, all: readonly Measured[], to: Tolerances, report: Report): Finding[] {
  const { drawing, measures } = one;
  const ratio = againstExtremes(one, all);
  if (drawing.rough || !drawing.chart || !measures || typeof ratio !== 'number') return [];
  if (Math.abs(ratio - 1) <= to.volume) return [];
  const way = ratio > 1 ? 'larger' : 'smaller';
  const { from, to: end } = drawing.chart;
  const message = `volume ${percent(ratio - 1)} ${way} than between ${from} and ${end}`;
  return [report('volume', measures.inkBox, ratio - 1, message)];
}

function isFault(run: DriftRun, to: Tolerances): boolean {
  if (run.kind === 'missed') {
    return !run.construction && (run.strength ?? 0) >= to.missedStrength && run.lengthPx >= to.missedPx;
  }
  return beyond(run.maxPx, run.strayPx ?? 0) > to.driftPx && run.lengthPx >= to.driftLengthPx;
}

function leaks(
  measures: Results['drawing'],
  all: readonly Measured[],
  to: Tolerances,
  report: Report,
): Finding[] {
  return openLeaks(measures, all, to).map(({ xPx, yPx, widthPx }) => {
    const reach = Math.ceil(widthPx / 2) + 8;
    const bbox: Box = [Math.round(xPx) - reach, Math.round(yPx) - reach, 2 * reach, 2 * reach];
    return report('leaks', bbox, widthPx, `opens ${px(widthPx)} ${placeInWords(bbox, measures.sizePx)}`);
  });
}

/** Leaks that were not meant: where the neighbours are open too, the shape was meant to be open. In their own order. */
function openLeaks(measures: Results['drawing'], all: readonly Measured[], to: Tolerances): LeakIn[] {
  if (isRefused(measures.leaks)) return [];
  const places = ({ leaks }: Results['drawing']) =>
    isRefused(leaks) ? [] : leaks.map(({ xPx, yPx }) => [xPx, yPx] as const);
  const withinPx = RECURS_PX * paperScale(measures.sizePx[0]);
  return measures.leaks.filter(
    (leak) =>
      !meantOpen(leak) &&
      leak.widthPx >= to.leakLeastPx &&
      leak.widthPx <= to.leakPx &&
      !recursNearby([leak.xPx, leak.yPx], measures, all, withinPx, places),
  );
}

type LeakIn = Exclude<Results['drawing']['leaks'], Refused>[number];
type SpeckIn = Exclude<Results['drawing']['specks'], Refused>[number];

/** Specks that are no drawn detail: those do not recur. In their own order. */
export function straySpecks(measures: Results['drawing'], all: readonly Measured[]): SpeckIn[] {
  if (isRefused(measures.specks)) return [];
  // A pinhole is a corner between lines that close: fills skip it, and every drawing has some.
  const places = ({ specks }: Results['drawing']) =>
    isRefused(specks)
      ? []
      : specks.flatMap(({ kind, xPx, yPx }) => (kind === 'speck' ? [[xPx, yPx] as const] : []));
  return measures.specks.filter(
    ({ kind, inRough, xPx, yPx }) =>
      kind === 'speck' &&
      !inRough &&
      !recursNearby([xPx, yPx], measures, all, RECURS_PX * paperScale(measures.sizePx[0]), places),
  );
}

function specks(measures: Results['drawing'], all: readonly Measured[], report: Report): Finding[] {
  const stray = straySpecks(measures, all);
  if (stray.length === 0) return [];
  const boxes = stray.map(({ xPx, yPx, areaPx2 }): Box => {
    const reach = Math.ceil(Math.sqrt(areaPx2)) + 3;
    return [Math.round(xPx) - reach, Math.round(yPx) - reach, 2 * reach, 2 * reach];
  });
  const [left, top] = [Math.min(...boxes.map(([x]) => x)), Math.min(...boxes.map(([, y]) => y))];
  const bbox: Box = [
    left,
    top,
    Math.max(...boxes.map(([x, , w]) => x + w)) - left,
    Math.max(...boxes.map(([, y, , h]) => y + h)) - top,
  ];
  const message = `${count(stray.length, 'speck')} ${placeInWords(boxes[0]!, measures.sizePx)}${stray.length > 1 ? ' and elsewhere' : ''}`;
  const found = report('specks', bbox, stray.length, message);
  return [boxes.length > 1 ? { ...found, spots: boxes } : found];
}

function registration(measures: Results['drawing'], to: Tolerances, report: Report): Finding[] {
  const { registration, inkBox } = measures;
  if (isRefused(registration) || !registration.believed) return [];
  const slipPx = Math.hypot(registration.dxPx, registration.dyPx);
  if (slipPx <= to.registrationPx) return [];
  // The clean must move by (dx, dy) to lie on the rough: so it lies the other way.
  const words = [
    Math.abs(registration.dxPx) >= 0.5
      ? `${px(Math.abs(registration.dxPx))} ${registration.dxPx < 0 ? 'right' : 'left'}`
      : '',
    Math.abs(registration.dyPx) >= 0.5
      ? `${px(Math.abs(registration.dyPx))} ${registration.dyPx < 0 ? 'low' : 'high'}`
      : '',
  ].filter(Boolean);
  return [
    report('registration', inkBox, slipPx, `whole drawing lies ${words.join(' and ')} against its rough`),
  ];
}

function wobble(
  measures: Results['drawing'],
  all: readonly Measured[],
  to: Tolerances,
  report: Report,
): Finding[] {
  if (isRefused(measures.wobble)) return [];
  const { rmsPx: wholePx } = measures.wobble;
  if (wholePx > to.wobblePx)
    return [report('wobble', measures.inkBox, wholePx, `line shakes by ${px(wholePx)} all over`)];
  const middle = ([x, y, width, height]: Box) => [x + width / 2, y + height / 2] as const;
  const places = ({ wobble }: Results['drawing']) =>
    isRefused(wobble) ? [] : wobble.runs.map(({ bbox }) => middle(bbox));
  return measures.wobble.runs
    .filter(
      // A scalloped edge shakes in every drawing.
      ({ bbox, rmsPx }) =>
        rmsPx > to.wobblePx &&
        !recursNearby(middle(bbox), measures, all, RECURS_PX * paperScale(measures.sizePx[0]), places),
    )
    .map(({ bbox, rmsPx }) =>
      report('wobble', bbox, rmsPx, `line shakes by ${px(rmsPx)} ${placeInWords(bbox, measures.sizePx)}`),
    );
}
