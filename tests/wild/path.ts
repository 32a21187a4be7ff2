/** The path of a place on motions that nobody tuned it to: through three drawings, and there and back through seven. */
import { followPlace, type PathDot } from '../../src/check/path/follow.ts';
import { withAlong } from '../../src/line/along.ts';
import { arcOf } from '../../src/line/path/arc.ts';
import { matchPair, type PairMatch } from '../../src/line/path/match-pair.ts';
import { stepPlace } from '../../src/line/path/step-place.ts';
import type { LineSamples } from '../../src/line/samples.ts';
import { type MotionPlace, PLACES, type PlaceKind, placesOn } from '../support/motion-places.ts';
import { MOTION_PAPER, MOTIONS, type Motion, type MotionKind, motionOf } from '../support/motions.ts';

interface PathTally {
  /** Dots of places that move by more than 10 px from the drawing where they were tapped, and are drawn. */
  asked: number;
  found: number;
  within: number;
  /** Told as sure, and off by more than 10 px. */
  wrong: number;
  /** Dots that are judged, and called out though no place was displaced. */
  judged: number;
  calledOut: number;
  readonly misses: string[];
}

const NEAR_PX = 3;
const FAR_PX = 10;

/** There and back: even thirds of the way. */
const TO_AND_FRO = [0, 1 / 3, 2 / 3, 1, 2 / 3, 1 / 3, 0] as const;

/** What a set of drawings is followed through; `follow` matches each pair once. */
function setOf(drawings: readonly LineSamples[]) {
  const lines = drawings.map(withAlong);
  const matches = new Map<string, PairMatch>();
  const matchOf = (from: number, to: number): PairMatch => {
    const key = `${from} ${to}`;
    const match = matches.get(key) ?? matchPair(lines[from]!, lines[to]!, MOTION_PAPER);
    matches.set(key, match);
    return match;
  };
  return (at: readonly [number, number], start = 0): Promise<PathDot[]> =>
    followPlace(
      {
        count: lines.length,
        without: () => undefined,
        step: (place, from, to) => stepPlace(place, lines[from]!, lines[to]!, matchOf(from, to)),
      },
      new Map([[start, at]]),
    );
}

async function ask(
  motion: Motion,
  drawings: readonly LineSamples[],
  truthOf: (place: MotionPlace, drawing: number) => readonly [number, number],
  isDrawn: (place: MotionPlace, drawing: number) => boolean,
  places: number,
  tallies: Record<PlaceKind, PathTally>,
): Promise<void> {
  const follow = setOf(drawings);
  for (const kind of PLACES) {
    const tally = tallies[kind];
    for (const place of placesOn(motion, kind, places, motion.seed)) {
      if (!isDrawn(place, 0)) continue;
      const truth = drawings.map((_, k) => truthOf(place, k));
      const dots = await follow(truth[0]!);
      const off = dots.map(({ at }, k) => at && Math.hypot(at[0] - truth[k]![0], at[1] - truth[k]![1]));
      for (let k = 1; k < dots.length; k++) {
        const way = Math.hypot(truth[k]![0] - truth[0]![0], truth[k]![1] - truth[0]![1]);
        const says = (words: string) =>
          tally.misses.push(
            `${motion.kind} ${motion.seed}, ${kind}, drawing ${k + 1}, ${way.toFixed(0)} px: ${words}`,
          );
        if (way > FAR_PX && isDrawn(place, k)) {
          tally.asked++;
          const dot = dots[k]!;
          if (dot.at === undefined) says(dot.refused);
          else {
            tally.found++;
            if (off[k]! <= NEAR_PX) tally.within++;
          }
        }
        if (off[k] !== undefined && off[k]! > FAR_PX) {
          tally.wrong++;
          says(`off by ${off[k]!.toFixed(0)} px`);
        }
      }
      const arc = arcOf(
        dots.map(({ at }) => at),
        4,
      );
      tally.judged += arc.offPx.filter((px) => px !== undefined).length;
      tally.calledOut += arc.off.filter(Boolean).length;
    }
  }
}

export async function pathTallies(
  kinds: readonly MotionKind[],
  seeds: readonly number[],
  set: 'tune' | 'judge',
  { places, fro }: { readonly places: number; readonly fro: boolean },
): Promise<Map<MotionKind, Record<PlaceKind, PathTally>>> {
  const out = new Map<MotionKind, Record<PlaceKind, PathTally>>();
  for (const motionKind of kinds) {
    const none = () => ({ asked: 0, found: 0, within: 0, wrong: 0, judged: 0, calledOut: 0, misses: [] });
    const tallies = Object.fromEntries(PLACES.map((kind) => [kind, none()])) as unknown as Record<
      PlaceKind,
      PathTally
    >;
    out.set(motionKind, tallies);
    for (const seed of seeds) {
      const motion = motionOf(motionKind, seed, set);
      const s = ({ part }: MotionPlace, k: number) => [0, part.t, 1][k]!;
      await ask(
        motion,
        [motion.a, motion.c, motion.b],
        (place, k) => place.part.path(place.at, s(place, k)),
        ({ part }, k) => part.hiddenIn !== (['a', 'c', 'b'] as const)[k],
        places,
        tallies,
      );
      if (!fro) continue;
      await ask(
        motion,
        TO_AND_FRO.map((at) => motion.drawnAt(at)),
        ({ part, at }, k) => part.path(at, TO_AND_FRO[k]!),
        () => true,
        places,
        tallies,
      );
    }
  }
  return out;
}

const share = (some: number, of: number): string => (of > 0 ? `${((100 * some) / of).toFixed(1)} %` : '–');

function rowOf(name: string, tallies: readonly PathTally[]): string {
  const sum = (of: (tally: PathTally) => number) => tallies.reduce((total, tally) => total + of(tally), 0);
  const [asked, found] = [sum((t) => t.asked), sum((t) => t.found)];
  return `${name.padEnd(22)} ${asked} dots, ${share(found, asked)} found, ${share(
    sum((t) => t.within),
    found,
  )} of those within ${NEAR_PX} px, ${sum((t) => t.wrong)} off by over ${FAR_PX} px, ${sum((t) => t.calledOut)} of ${sum((t) => t.judged)} called out`;
}

/** Seeds from `seed` on, `count` of each kind; pictures that nothing was tuned to. */
export async function printPath(count: number, seed: number): Promise<void> {
  const seeds = Array.from({ length: count }, (_, k) => seed + k);
  const all = await pathTallies(MOTIONS, seeds, 'judge', { places: 6, fro: true });
  for (const tallies of all.values())
    for (const kind of PLACES) for (const miss of tallies[kind].misses) console.log(`  ${miss}`);
  console.log(`Path of a place, ${count} of each kind, seeds ${seed} to ${seed + count - 1}`);
  for (const [motion, tallies] of all) console.log(rowOf(motion, [tallies.bend, tallies['beside a bend']]));
  for (const kind of PLACES)
    console.log(
      rowOf(
        `all, ${kind}`,
        [...all.values()].map((tallies) => tallies[kind]),
      ),
    );
}
