/** Charts with parts over motions of two thirds: what is told when the chart is right, and when it is not. */
import { charted } from '../../src/check/charted.ts';
import { findBetween } from '../../src/check/find-between.ts';
import type { Results } from '../../src/check/jobs.ts';
import { defaultTolerances, scaled } from '../../src/check/tolerances.ts';
import { isRefused } from '../../src/line/refused.ts';
import { measureSpacing } from '../../src/line/spacing.ts';
import type { Chart, ChartPlace, Drawing } from '../../src/shot/model.ts';
import { MOTION_PAPER, type Motion, motionOf } from '../support/motions.ts';

interface PartsTally {
  asked: number;
  /** Findings where chart and drawing agree. */
  false: number;
  /** Charts that say otherwise than the drawing, of a part or of the body, where that was measured. */
  wrong: number;
  /** Of those, told with the words of the one that is off and no other. */
  told: number;
  /** Body or part that could not be measured. */
  refused: number;
  readonly misses: string[];
}

const ROOM_PX = 12;

/** As somebody draws round it: a loose box, or a loose ring. */
function placeRound([x, y, width, height]: Motion['others'][number]['box'], ring: boolean): ChartPlace {
  const [left, top, right, low] = [x - ROOM_PX, y - ROOM_PX, x + width + ROOM_PX, y + height + ROOM_PX];
  const sizePx = [MOTION_PAPER.width, MOTION_PAPER.height] as const;
  if (!ring) return { box: [left, top, right - left, low - top], sizePx };
  const [cx, cy] = [(left + right) / 2, (top + low) / 2];
  const outline = Array.from({ length: 24 }, (_, k): [number, number] => {
    const angle = (k * Math.PI) / 12;
    return [
      cx + ((right - left) / 2) * 1.2 * Math.cos(angle),
      cy + ((low - top) / 2) * 1.2 * Math.sin(angle),
    ];
  });
  return { outline, sizePx };
}

/** Of each seed a chart that is right, one that has the part on the other third, and one that has the body elsewhere. */
export function tallyParts(seeds: readonly number[]): PartsTally {
  const tally: PartsTally = { asked: 0, false: 0, wrong: 0, told: 0, refused: 0, misses: [] };
  for (const seed of seeds) {
    const motion = motionOf('two thirds', seed, 'judge');
    const found = measureSpacing(motion.a, motion.b, motion.c, MOTION_PAPER);
    const [part] = motion.others;
    if (!part) continue;
    tally.asked++;
    const place = placeRound(part.box, seed % 2 === 0);
    const sizePx: [number, number] = [MOTION_PAPER.width, MOTION_PAPER.height];
    const told = (fraction: number, own: number) => {
      const chart: Chart = {
        from: '1',
        to: '5',
        fraction,
        parts: [{ place, words: 'sleeve', fraction: own }],
      };
      const drawing: Drawing = { label: '3', role: 'inbetween', chart, takes: [] };
      const { spacing, parts } = charted(found, chart, sizePx);
      const measures = { sizePx, samples: motion.c, digests: undefined } as unknown as Results['drawing'];
      const measured = { drawing, measures, spacing, chartParts: parts, boil: undefined, failed: undefined };
      const findings = findBetween(
        { name: '', drawings: [], exposures: [] },
        measured,
        [],
        scaled(defaultTolerances, sizePx[0]),
      );
      return { spacing, part: parts[0]?.found, says: findings.map(({ message }) => message) };
    };
    const say = (words: string, says: readonly string[]) =>
      tally.misses.push(
        `${seed} (part ${part.truth.toFixed(2)}, ${motion.pictures.join(', ')}): ${words}: ${says.join('; ') || 'nothing'}`,
      );
    const right = told(motion.truth, part.truth);
    if (right.says.length > 0) say('right, told', right.says);
    tally.false += right.says.length;
    if (!right.part || isRefused(right.part)) tally.refused++;
    else {
      const late = told(motion.truth, 1 - part.truth);
      tally.wrong++;
      if (late.says.length === 1 && late.says[0]!.startsWith('sleeve at ')) tally.told++;
      else say('the part is off', late.says);
    }
    if (isRefused(right.spacing)) tally.refused++;
    else {
      const off = told(motion.truth === 0.75 ? 0.25 : 0.75, part.truth);
      tally.wrong++;
      if (off.says.length === 1 && off.says[0]!.startsWith('at ')) tally.told++;
      else say('the body is off', off.says);
    }
  }
  return tally;
}

/** Seeds from `seed` on. */
export function printChartParts(count: number, seed: number): void {
  const { misses, asked, wrong, told, refused, ...tally } = tallyParts(
    Array.from({ length: count }, (_, k) => seed + k),
  );
  for (const miss of misses) console.log(`  ${miss}`);
  console.log(`Charts with parts, ${count} of two thirds, seeds ${seed} to ${seed + count - 1}`);
  console.log(
    `${asked} right charts, ${tally.false} told; ${wrong} wrong ones, ${told} told; ${refused} times body or part was not measured`,
  );
}
