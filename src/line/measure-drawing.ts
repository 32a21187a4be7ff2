import { type CellDigests, cellDigests } from './cell-digests.ts';
import { components } from './components.ts';
import { type Drift, measureDrift } from './drift.ts';
import { closedInRough, darknessUnder, drawnInRough } from './in-rough.ts';
import { type Ink, inkOf } from './ink.ts';
import { findLeaks, type Leak } from './leaks.ts';
import type { LineEnd } from './line-ends.ts';
import { lineSamples } from './line-samples.ts';
import { type Outline, outlineOf } from './outline.ts';
import { type Part, partsOf } from './parts.ts';
import type { Box, Picture } from './picture.ts';
import { isRefused, type Refused } from './refused.ts';
import { type Regions, regionsOf } from './regions.ts';
import { applyMove, type Registration, registerInk } from './register.ts';
import { lineRuns, type Runs } from './runs.ts';
import type { LineSamples } from './samples.ts';
import { skeletonOf } from './skeleton.ts';
import { findSpecks, type Speck } from './specks.ts';
import { allSteps, type Steps } from './steps.ts';
import { measureVolume, type Region, type Volume } from './volume.ts';
import { type AgainstRough, volumeAgainstRough } from './volume-against-rough.ts';
import { measureWeight, type Weight } from './weight.ts';
import { measureWobble, type Wobble } from './wobble.ts';
import { Workspace } from './workspace.ts';

/** Everything measured of one drawing by itself and against its rough. Lengths in px of the clean image. */
export interface DrawingMeasures {
  readonly sizePx: readonly [width: number, height: number];
  /** Box round all line; `[0, 0, 0, 0]` when the drawing is blank. */
  readonly inkBox: Box;
  readonly weight: Weight | Refused;
  readonly volume: VolumeAgainstRough | Refused;
  readonly leaks: readonly (Leak & InRough)[] | Refused;
  /** Where lines stop. */
  readonly ends: readonly LineEnd[];
  readonly specks: readonly (Speck & InRough)[] | Refused;
  readonly registration: Registration | Refused;
  readonly drift: Drift | Refused;
  readonly wobble: Wobble | Refused;
  /** The mid-line with its weight, for what is measured between drawings and for the heat over the line. */
  readonly samples: LineSamples;
  /** What the line looks like, place by place: tells whether a place was redrawn. */
  readonly digests: CellDigests;
}

/** Areas against the rough's: 1 is equal. A region's own is absent where the rough closes round no such region. */
interface VolumeAgainstRough {
  readonly enclosedPx2: number;
  readonly regions: readonly (Region & { readonly againstRough?: number | undefined })[];
  readonly againstRough: number | Refused;
  /** The larger ones with all that lies inside them, to be followed over the shot. */
  readonly parts: readonly Part[];
}

/** Whether the rough has line there: the gap was not meant to be, the small mark was. Absent without a rough. */
interface InRough {
  readonly inRough?: boolean;
}

export interface MeasureOptions {
  /** Widest gap that counts as a leak rather than as an open line, px. */
  readonly mostGapPx?: number;
}

/**
 * Measures a clean drawing, against its rough where there is one. What both need is made once: ink, runs,
 * skeleton, samples and paper regions; of the rough only ink and runs. Big arrays come from `workspace` and go
 * back to it, so a worker that keeps one measures a whole shot in the memory of one drawing.
 */
export const measureDrawing = (...what: Parameters<typeof measureDrawingInSteps>): DrawingMeasures =>
  allSteps(measureDrawingInSteps(...what));

/** The same, with a rest wherever it yields: after a tenth of the work or less. */
export function* measureDrawingInSteps(
  clean: Picture,
  rough: Picture | undefined,
  { mostGapPx = 24 }: MeasureOptions = {},
  workspace = new Workspace(),
): Steps<DrawingMeasures> {
  const { width, height } = clean;
  const ink = inkOf(clean, workspace);
  yield;
  const line = lineRuns(ink.coverage, width, height);
  const pieces = components(line, 8);
  yield;
  const skeleton = skeletonOf(line, workspace, pieces);
  yield;
  const samples = lineSamples(ink, skeleton);
  yield;
  const regions = regionsOf(line);
  const inkBox = boxRound(line);
  const blank = { refused: 'The drawing is blank.' };
  yield;
  const outline = outlineOf(ink, regions, samples);
  const volume = measureVolume(ink, line, regions, samples, {}, outline);
  yield;
  const found = line.start.length === 0 ? undefined : findLeaks(ink, line, skeleton, { mostGapPx });
  yield;
  const leaks = found?.leaks ?? blank;
  const specks = line.start.length === 0 ? blank : findSpecks(ink, line, regions, {}, pieces);
  yield;
  const against = yield* againstRough(
    ink,
    samples,
    regions,
    outline,
    volume,
    { leaks, specks },
    rough,
    workspace,
  );
  yield;
  const measures: DrawingMeasures = {
    sizePx: [width, height],
    inkBox,
    weight: measureWeight(samples),
    volume: isRefused(volume)
      ? volume
      : {
          ...volume,
          regions: volume.regions.map((region, k) => ({
            ...region,
            againstRough: against.volumes.regions[k],
          })),
          againstRough: against.volumes.whole,
          parts: partsOf(
            volume.regions.map((region, k) => ({ ...region, againstRough: against.volumes.regions[k] })),
            { line, pieces },
            regions,
            outline,
            samples,
          ),
        },
    leaks: against.leaks,
    ends: found?.ends ?? [],
    specks: against.specks,
    // Pictures of two sizes are laid on each other's centre: a move between their corners says nothing.
    registration:
      rough && (rough.width !== width || rough.height !== height)
        ? {
            refused: `The drawing is ${width} × ${height} px and its rough ${rough.width} × ${rough.height} px, so their places cannot be compared.`,
          }
        : against.registration,
    drift: against.drift,
    wobble: measureWobble(samples, clean),
    samples,
    digests: cellDigests(line),
  };
  workspace.release(ink.coverage);
  return measures;
}

function* againstRough(
  cleanInk: Ink,
  clean: LineSamples,
  regions: Regions,
  outline: Outline,
  volume: Volume | Refused,
  marks: { leaks: readonly Leak[] | Refused; specks: readonly Speck[] | Refused },
  rough: Picture | undefined,
  workspace: Workspace,
): Steps<Pick<DrawingMeasures, 'registration' | 'drift' | 'leaks' | 'specks'> & { volumes: AgainstRough }> {
  if (rough === undefined) {
    const refused = { refused: 'The drawing has no rough to compare it with.' };
    return { registration: refused, drift: refused, volumes: { whole: refused, regions: [] }, ...marks };
  }
  const roughInk = inkOf(rough, workspace);
  yield;
  const registration = registerInk(cleanInk, roughInk);
  yield;
  const found = measureDrift({ clean, cleanSize: cleanInk, roughInk, rough, registration });
  yield;
  const { acrossPx, ...drift } = isRefused(found) ? { ...found, acrossPx: undefined } : found;
  const volumes =
    isRefused(volume) || !acrossPx
      ? { whole: { refused: 'There is nothing in the rough to compare the volume with.' }, regions: [] }
      : volumeAgainstRough(volume, regions, outline, acrossPx);
  const place = (x: number, y: number) =>
    !isRefused(registration) && registration.believed
      ? applyMove(registration, cleanInk, x, y)
      : ([x, y] as const);
  const besidePx = Math.ceil(isRefused(drift) ? 3 : drift.tolerancePx);
  const { leaks, specks } = marks;
  const usual = isRefused(leaks) || leaks.length === 0 ? 0 : darknessUnder(clean, roughInk, place, besidePx);
  const marked = {
    leaks: isRefused(leaks)
      ? leaks
      : leaks.map((leak) => ({
          ...leak,
          inRough: closedInRough(leak, roughInk, place, { besidePx, usual }),
        })),
    specks: isRefused(specks)
      ? specks
      : specks.map((speck) => ({
          ...speck,
          inRough: drawnInRough(speck.xPx, speck.yPx, roughInk, place, 2),
        })),
  };
  workspace.release(roughInk.coverage);
  return { registration, drift, volumes, ...marked };
}

function boxRound({ height, rowStart, start, end }: Runs): Box {
  let [left, top, right, bottom] = [Infinity, height, 0, 0];
  for (let y = 0; y < height; y++) {
    const [first, next] = [rowStart[y]!, rowStart[y + 1]!];
    if (first === next) continue;
    top = Math.min(top, y);
    bottom = y + 1;
    left = Math.min(left, start[first]!);
    right = Math.max(right, end[next - 1]!);
  }
  return bottom === 0 ? [0, 0, 0, 0] : [left, top, right - left, bottom - top];
}
