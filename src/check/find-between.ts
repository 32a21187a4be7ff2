import { boilBeside } from '../line/boil.ts';
import { boxGap } from '../line/box.ts';
import type { Box } from '../line/picture.ts';
import { isRefused } from '../line/refused.ts';
import type { Spacing } from '../line/spacing.ts';
import { fractionWords } from '../shot/fraction-words.ts';
import type { Level } from '../shot/model.ts';
import { heldChart } from '../shot/notation.ts';
import { type CheckName, type Finding, findingKey, lineDigest, placeInWords } from './finding.ts';
import type { Results } from './jobs.ts';
import type { Measured } from './measured.ts';
import type { Tolerances } from './tolerances.ts';
import { px } from './words.ts';

/**
 * A part must be this share of the drawing's line, or it is a detail that fits anywhere. At 0.015 each sample shot
 * has one finding more, both false; those planted are found at either.
 */
const LEAST_PART = 0.04;

/** Of one that somebody named and drew round: its place is no chance. */
const LEAST_NAMED = 0.02;
/** Where this share of the line in a part's place lies as its chart says, the part may be that one. */
const LIES_THERE_TOO = 0.5;

/** Faults that make two drawings differ where they lie: their place is told once, by its cause. */
const CAUSES: ReadonlySet<CheckName> = new Set(['drift', 'volume', 'wobble', 'registration']);

/**
 * Findings that lie between a drawing and its neighbours: spacing and boil. `told` are the other findings of this drawing
 * and of the one before it.
 */
export function findBetween(
  level: Level,
  { drawing, measures, spacing, chartParts = [], boil }: Measured,
  told: readonly Finding[],
  to: Tolerances,
): Finding[] {
  if (!measures) return [];
  const finding = (check: CheckName, bbox: Box, amount: number, message: string, kind = ''): Finding => ({
    key: findingKey(check, level.name, drawing.label, bbox, measures.sizePx, kind),
    check,
    level: level.name,
    drawing: drawing.label,
    bbox,
    amount,
    message,
    lineDigest: lineDigest(measures.digests, bbox),
  });
  const found: Finding[] = [];
  // A breakdown is posed: its chart says what it hangs on, not that it lies on the straight way.
  const chart = heldChart(drawing);
  if (chart) {
    for (const part of chartParts) {
      if (isRefused(part.found) || !isLate(part.found, part.fraction, LEAST_NAMED * linePxOf(measures), to))
        continue;
      // The place goes round some of the body as well.
      if (part.found.asCharted >= LIES_THERE_TOO) continue;
      const at = part.found.measured;
      const message = `${part.words} at ${at.toFixed(2)} between ${chart.from} and ${chart.to}, chart says ${fractionWords(part.fraction)} for it`;
      found.push(
        finding('spacing', part.bbox, at, message, `part ${Array.from(part.words).slice(0, 20).join('')}`),
      );
    }
  }
  if (chart && spacing && !isRefused(spacing)) {
    const between = `between ${chart.from} and ${chart.to}, chart says ${fractionWords(chart.fraction)}`;
    const late = lateParts(spacing, chart.fraction, measures, to).map((part) => ({
      part,
      words: `${placeInWords(part.bbox, measures.sizePx)} at ${part.measured.toFixed(2)}`,
    }));
    if (Math.abs(spacing.measured - chart.fraction) > to.spacing) {
      found.push(
        finding('spacing', whole(measures), spacing.measured, `at ${spacing.measured.toFixed(2)} ${between}`),
      );
    } else {
      for (const { part, words } of late) {
        const message = `at ${spacing.measured.toFixed(2)} ${between}; the part ${words}`;
        found.push(finding('spacing', part.bbox, part.measured, message, 'part'));
      }
    }
  }
  if (boil && !isRefused(boil) && boil.linePx > to.boilPx) {
    const causes = told.filter(({ check }) => CAUSES.has(check));
    const left =
      causes.length === 0
        ? { linePx: boil.linePx, worst: boil.worst.bbox }
        : boilBeside(boil, (bbox) => causes.some((cause) => boxGap(cause.bbox, bbox) === 0));
    if (left && left.linePx > to.boilPx) {
      const message = `boils ${px(left.linePx)} against the drawing before it, most ${placeInWords(left.worst, measures.sizePx)}`;
      found.push(finding('boil', left.worst, left.linePx, message));
    }
  }
  return found;
}

function lateParts({ parts }: Spacing, chart: number, measures: Results['drawing'], to: Tolerances) {
  const leastPx = LEAST_PART * linePxOf(measures);
  return parts.filter((part) => isLate(part, chart, leastPx, to));
}

function isLate(
  {
    measured,
    error,
    movePx,
    lengthPx,
  }: Pick<Spacing['parts'][number], 'measured' | 'error' | 'movePx' | 'lengthPx'>,
  chart: number,
  leastPx: number,
  to: Tolerances,
): boolean {
  const off = Math.abs(measured - chart) - error;
  return off > to.spacingPart && off * movePx > to.spacingPartPx && lengthPx > leastPx;
}

const linePxOf = ({ samples }: Results['drawing']): number => samples.x.length * samples.stepPx;

function whole({ samples, sizePx }: Results['drawing']): Box {
  let [left, top, right, low] = [sizePx[0], sizePx[1], 0, 0];
  for (let i = 0; i < samples.x.length; i++) {
    left = Math.min(left, Math.floor(samples.x[i]!));
    right = Math.max(right, Math.ceil(samples.x[i]!));
    top = Math.min(top, Math.floor(samples.y[i]!));
    low = Math.max(low, Math.ceil(samples.y[i]!));
  }
  return [left, top, Math.max(1, right - left), Math.max(1, low - top)];
}
