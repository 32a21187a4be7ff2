/** How what is told of volume over made shots stands against the truth that they were made with. */
import { findInDrawing } from '../../src/check/find-in-drawing.ts';
import { withPops } from '../../src/check/find-pops.ts';
import type { Finding } from '../../src/check/finding.ts';
import { defaultTolerances, scaled } from '../../src/check/tolerances.ts';
import { type PartRun, volumeRuns } from '../../src/check/volume-run.ts';
import { closedArt, MOTIONS, POPPED, VOLUME_PAPER, type VolumeShot, volumeShot } from './volume-shots.ts';

type Wanted = Omit<VolumeShot, 'art' | 'seed'>;

/** Told where a drawing pops, and told by how much: within this much of the truth, share. */
const WITHIN = 0.03;

const POPS: readonly Wanted[] = MOTIONS.flatMap((motion, m) =>
  [0.12, 0.06].flatMap((pop, p) =>
    [true, false].map((popsInRough, r) => ({ motion, pop: (m + p + r) % 2 ? -pop : pop, popsInRough })),
  ),
);
const FAULTLESS: readonly Wanted[] = [
  ...[...MOTIONS, 'turns quickly' as const].map((motion) => ({ motion, pop: 0, popsInRough: true })),
  ...(['board', 'post', 'cut'] as const).map((cover) => ({
    motion: 'travels' as const,
    pop: 0,
    popsInRough: true,
    cover,
  })),
];

export interface VolumeTally {
  /** Shots with a pop of so many per cent, those of which it was told, and those worded rightly as well. */
  readonly pops: Readonly<Record<6 | 12, { asked: number; told: number; worded: number }>>;
  /** Drawings of shots in which nothing pops, and pops told on them. */
  faultless: number;
  readonly wrong: string[];
  /** Pops told on drawings beside one that pops. */
  readonly beside: string[];
  readonly missed: string[];
  /** Shots that are cut open or hidden in part, and those of which the part says why it is not known. */
  covered: number;
  refused: number;
}

/** `count` shots of each kind, of pictures for tuning or for judging. */
export function volumeTally(set: 'tune' | 'judge', count: number, seed: number): VolumeTally {
  const tally: VolumeTally = {
    pops: { 6: { asked: 0, told: 0, worded: 0 }, 12: { asked: 0, told: 0, worded: 0 } },
    faultless: 0,
    wrong: [],
    beside: [],
    missed: [],
    covered: 0,
    refused: 0,
  };
  const wanted = Array.from({ length: count }, () => [...POPS, ...FAULTLESS]).flat();
  const arts = closedArt(set, wanted.length, seed);
  for (const [n, want] of wanted.entries()) {
    const art = arts[n]!;
    const { pops, runs } = toldOf({ ...want, art, seed: 1000 * seed + n });
    const popped = String(POPPED + 1);
    const name = `${art.name} ${want.motion}${want.pop ? ` ${want.pop}` : ''}${want.cover ? ` ${want.cover}` : ''}`;
    const line = ({ drawing, message }: Finding) => `${name}: ${drawing}: ${message}`;
    if (want.pop === 0) {
      tally.faultless += runs.length;
      tally.wrong.push(...pops.map(line));
      if (!want.cover) continue;
      tally.covered++;
      if (runs[POPPED]!.some(({ refused }) => refused)) tally.refused++;
      continue;
    }
    const words = want.popsInRough ? 'in the rough as well' : 'in the clean-up only';
    const row = tally.pops[Math.round(100 * Math.abs(want.pop)) as 6 | 12];
    const told = pops.filter(
      ({ drawing, amount }) => drawing === popped && Math.abs(amount - want.pop) < WITHIN,
    );
    const worded = told.filter(({ message }) => message.endsWith(words));
    row.asked++;
    if (told.length > 0) row.told++;
    if (worded.length > 0) row.worded++;
    else
      tally.missed.push(`${name}, ${words}: ${told[0]?.message ?? runs[POPPED]![0]?.refused ?? 'not told'}`);
    tally.beside.push(...pops.filter((one) => !worded.includes(one) && !told.includes(one)).map(line));
  }
  return tally;
}

/** What is told of volume that pops, and the runs of each drawing. */
function toldOf(of: VolumeShot): { readonly pops: readonly Finding[]; readonly runs: readonly PartRun[][] } {
  const shot = volumeShot(of);
  const level = { name: '', drawings: [], exposures: [] };
  const to = scaled(defaultTolerances, VOLUME_PAPER[0]);
  const runs = volumeRuns(shot);
  const told = shot.flatMap((one, k) => withPops(findInDrawing(level, one, shot, to), '', one, runs[k]!, to));
  const pops = told.filter(({ check, message }) => check === 'volume' && message.includes('pops'));
  return { pops, runs };
}
