/** Places on a motion's line that a person would follow, with their truth in any of its drawings by the part's own path. */
import type { Point } from './draw-lines.ts';
import { seeded } from './line-masks.ts';
import type { Motion, Part } from './motions.ts';

export const PLACES = ['bend', 'beside a bend', 'line'] as const;
/** A corner or a tight bend, as a nose; 6 to 20 px beside one, as a nostril; anywhere on a line. */
export type PlaceKind = (typeof PLACES)[number];

export interface MotionPlace {
  readonly kind: PlaceKind;
  readonly part: Part;
  /** In the motion's own coordinates. */
  readonly at: Point;
}

/** `count` of a kind by seed, all over the moving parts; fewer where there is no bend. */
export function placesOn(motion: Motion, kind: PlaceKind, count: number, seed: number): MotionPlace[] {
  const random = seeded(seed * 6151 + PLACES.indexOf(kind) * 1009 + 17);
  const points = motion.parts.flatMap((part) =>
    part.lines.flatMap((line) =>
      line.flatMap((at, k): MotionPlace[] => {
        // The maker's hand ends its lines a little off.
        if (k < 5 || k >= line.length - 5) return [];
        if (kind !== 'line' && turnAt(line, k) < 0.5) return [];
        return [{ kind, part, at }];
      }),
    ),
  );
  const out: MotionPlace[] = [];
  for (let n = 0; n < count && points.length > 0; n++) {
    const { part, at } = points[Math.floor(random() * points.length)]!;
    const [angle, away] = [2 * Math.PI * random(), 6 + 14 * random()];
    out.push({
      kind,
      part,
      at: kind === 'beside a bend' ? [at[0] + away * Math.cos(angle), at[1] + away * Math.sin(angle)] : at,
    });
  }
  return out;
}

/** How far the line turns within five of its points to each side (20 px), rad: a fingertip's 40 px round and tighter. */
function turnAt(line: readonly Point[], k: number): number {
  const [p, q, r] = [line[k - 5]!, line[k]!, line[k + 5]!];
  const turn = Math.atan2(r[1] - q[1], r[0] - q[0]) - Math.atan2(q[1] - p[1], q[0] - p[0]);
  return Math.abs(Math.atan2(Math.sin(turn), Math.cos(turn)));
}
