import * as v from 'valibot';

const share = (fallback: number) => v.optional(v.pipe(v.number(), v.minValue(0), v.maxValue(10)), fallback);
const px = (fallback: number) => v.optional(v.pipe(v.number(), v.minValue(0), v.maxValue(1000)), fallback);

/**
 * How far a measure may go before it is a finding: settings of a shot. Lengths are px of a drawing 2048 px
 * wide and grow with the paper (`scaled`). Raising a value hides small faults, lowering it calls out more
 * and more of what a hand does anyway; each default says why it stands where it does.
 */
export const tolerancesSchema = v.strictObject({
  /** Line weight against the median of the keys, share. A tenth is within one hand's habit; at a seventh
   * two drawings flipped are seen to differ. */
  weight: share(0.14),
  /** Clean line beside the rough's line or bundle, px: half as much again as a fine line's width. */
  driftPx: px(5),
  /** Shortest stretch of displaced or extra line, px, a fiftieth of the paper: less is a corner cut or an
   * overshoot. */
  driftLengthPx: px(40),
  /** Shortest rough line left out, px. A rough holds many short strokes that nobody traces. */
  missedPx: px(70),
  /** Darkness of a line left out against the rough's traced lines: fainter is taken for construction. */
  missedStrength: share(0.72),
  /** Area of a region against the rough's, or without a rough of all regions against the extremes', share. A
   * rough's outline leaves some per cent open to the hand. */
  volume: share(0.05),
  /** Its outline must also lie this far out or in on average, px: less is within a pencil line, and a narrow
   * shape's share is large at once. */
  volumePx: px(1.5),
  /** Widest gap looked for, px. Fills bridge no gap by themselves; past this width it is an open shape. */
  leakPx: px(24),
  /** Narrowest gap that counts, px: below this anti-aliased line still stops a fill. */
  leakLeastPx: px(2),
  /** Place of an in-between against its chart, share of the way. The eye sees a twelfth on a slow move. */
  spacing: share(0.08),
  /** The same for one part of the drawing, which fits less surely. */
  spacingPart: share(0.14),
  /** A part's error must also be this long on paper, px: a small part's small move is no fault. */
  spacingPartPx: px(12),
  /** Boil between drawings that should hold still, px root mean square. A steady trace keeps under 0.6. */
  boilPx: px(1),
  /** Wobble within a line, px root mean square. A steady hand's curves leave up to 1 px; a shake of 2 px to
   * either side, which shows at full size, makes 1.4. */
  wobblePx: px(1.2),
  /** Slip of the clean on its rough, px: more than half a line's width shows when flipped. */
  registrationPx: px(3),
});

export type Tolerances = v.InferOutput<typeof tolerancesSchema>;

export const defaultTolerances: Tolerances = v.parse(tolerancesSchema, {});

/** The unit of each tolerance, so that none is left out when paper is scaled. */
export const toleranceUnits: Readonly<Record<keyof Tolerances, 'share' | 'px of the paper' | 'px'>> = {
  weight: 'share',
  driftPx: 'px of the paper',
  driftLengthPx: 'px of the paper',
  missedPx: 'px of the paper',
  missedStrength: 'share',
  volume: 'share',
  volumePx: 'px of the paper',
  // Gaps are given in px of the drawing itself, as the fill sees them.
  leakPx: 'px',
  leakLeastPx: 'px',
  spacing: 'share',
  spacingPart: 'share',
  spacingPartPx: 'px of the paper',
  boilPx: 'px of the paper',
  wobblePx: 'px of the paper',
  registrationPx: 'px of the paper',
};

/** How large a paper is against one 2048 px wide, in whose px tolerances are given. */
export function paperScale(widthPx: number): number {
  return widthPx / 2048;
}

/** Tolerances for a paper of another width: lengths grow in proportion, shares stay. */
export function scaled(tolerances: Tolerances, widthPx: number): Tolerances {
  const factor = paperScale(widthPx);
  const out = { ...tolerances };
  for (const name of Object.keys(toleranceUnits) as (keyof Tolerances)[])
    if (toleranceUnits[name] === 'px of the paper') out[name] *= factor;
  return out;
}
