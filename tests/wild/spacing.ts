/** Spacing on motions that nobody tuned it to: a table a kind, and every miss with its seed. */
import { isRefused } from '../../src/line/refused.ts';
import { measureSpacing } from '../../src/line/spacing.ts';
import { MOTION_PAPER, MOTIONS, type Motion, type MotionKind, motionOf } from '../support/motions.ts';

interface Tally {
  readonly kind: MotionKind;
  asked: number;
  /** With a move over 10 px. */
  moving: number;
  measured: number;
  within: number;
  /** Off by more than 0.10, and said as if sure. */
  wrong: number;
  parts: number;
  partsFound: number;
  ms: number;
  readonly misses: string[];
}

const NEAR = 0.03;
const FAR = 0.1;

function askSpacing(motion: Motion, tally: Tally): void {
  const start = process.cpuUsage();
  const found = measureSpacing(motion.a, motion.b, motion.c, MOTION_PAPER);
  const { user, system } = process.cpuUsage(start);
  tally.ms += (user + system) / 1000;
  tally.asked++;
  const asked = motion.movePx > 10;
  if (asked) tally.moving++;
  const say = (words: string) =>
    tally.misses.push(
      `${motion.kind} ${motion.seed} (${motion.pictures.join(', ')}; truth ${motion.truth.toFixed(3)}, ${motion.movePx.toFixed(0)} px): ${words}`,
    );
  if (isRefused(found)) {
    if (asked) say(found.refused);
    return;
  }
  if (asked) tally.measured++;
  const off = Math.abs(found.measured - motion.truth);
  if (off <= NEAR) tally.within += asked ? 1 : 0;
  else say(`at ${found.measured.toFixed(3)}`);
  if (off > FAR) tally.wrong++;
  for (const other of motion.others) {
    tally.parts++;
    const near = found.parts.some(
      ({ bbox: [x, y, width, height], measured }) =>
        Math.abs(measured - other.truth) < 0.06 &&
        other.at[0] > x - 20 &&
        other.at[0] < x + width + 20 &&
        other.at[1] > y - 20 &&
        other.at[1] < y + height + 20,
    );
    if (near) tally.partsFound++;
  }
}

export function tallyOf(
  kinds: readonly MotionKind[],
  seeds: readonly number[],
  set: 'tune' | 'judge',
): Tally[] {
  return kinds.map((kind) => {
    const tally: Tally = {
      kind,
      asked: 0,
      moving: 0,
      measured: 0,
      within: 0,
      wrong: 0,
      parts: 0,
      partsFound: 0,
      ms: 0,
      misses: [],
    };
    for (const seed of seeds) askSpacing(motionOf(kind, seed, set), tally);
    return tally;
  });
}

function tableOf(tallies: readonly Tally[]): string {
  const sum = (of: (tally: Tally) => number) => tallies.reduce((total, tally) => total + of(tally), 0);
  const row = (name: string, of: (get: (tally: Tally) => number) => number) =>
    `${name.padEnd(22)} ${of((t) => t.moving)} moving, ${of((t) => t.measured)} measured, ${of((t) => t.within)} within ${NEAR}, ${of((t) => t.wrong)} off by over ${FAR}, parts ${of((t) => t.partsFound)}/${of((t) => t.parts)}, ${(of((t) => t.ms) / of((t) => t.asked)).toFixed(0)} ms`;
  return [...tallies.map((tally) => row(tally.kind, (get) => get(tally))), row('all', sum)].join('\n');
}

/** Seeds from `seed` on, `count` of each kind; pictures that nothing was tuned to. */
export function printSpacing(count: number, seed: number): void {
  const tallies = tallyOf(
    MOTIONS,
    Array.from({ length: count }, (_, k) => seed + k),
    'judge',
  );
  for (const { misses } of tallies) for (const miss of misses) console.log(`  ${miss}`);
  console.log(`Spacing, ${count} of each kind, seeds ${seed} to ${seed + count - 1}`);
  console.log(tableOf(tallies));
}
