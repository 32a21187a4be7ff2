/** A hand of three fingers and a thumb, from loosely curled to spread. */
import { curve, type Knot, lerp, type Pt, place, polar, tube } from '../paper/geometry.ts';
import type { Item, Shape } from '../paper/scene.ts';

/**
 * @param wrist where the hand leaves the cuff
 * @param angle its direction, degrees
 * @param open 0 curled, 1 spread
 * @param thumbSide 1: the thumb lies clockwise of the fingers; -1: counter-clockwise
 */
export function drawHand(id: string, wrist: Pt, angle: number, open: number, thumbSide: 1 | -1): Item[] {
  const at = (x: number, y: number): Pt => place([[x, y * thumbSide] as Pt], wrist, angle)[0]!;
  const turned = (deg: number): number => angle + deg * thumbSide;
  const fingerIds = [0, 1, 2].map((k) => `${id}-finger-${k}`);
  const palmId = `${id}-palm`;
  const palm: Shape = {
    kind: 'shape',
    id: palmId,
    outline: curve(
      (
        [
          [-26, -23],
          [12, -28],
          [42, -37],
          [64, -29],
          [70, 2],
          [64, 29],
          [42, 37],
          [14, 28],
          [-26, 23],
        ] as const
      ).map(([x, y]): Knot => at(x, y)),
      true,
    ),
    mergeWith: [...fingerIds, `${id}-thumb`],
  };
  const spread = lerp(3, 17, open);
  const curl = lerp(46, -3, open);
  const fingers = fingerIds.map((fingerId, k): Shape => {
    const base = at(lerp(51, 55, open), (k - 1) * 20);
    const length = [50, 60, 54][k]! * lerp(0.86, 1.08, open);
    const first = turned((k - 1) * spread + curl * 0.35);
    const knuckle = polar(base, first, length * 0.55);
    const tip = polar(knuckle, first + curl * 1.1 * thumbSide, length * 0.5);
    const { outline } = tube([[...base], [...knuckle], [...tip]], (u) => lerp(14.5, 12.5, u));
    return { kind: 'shape', id: fingerId, outline, mergeWith: [palmId], creasePx: 9 };
  });
  const root = at(12, 9);
  const thumbAngle = turned(lerp(34, 62, open));
  const joint = polar(root, thumbAngle, lerp(38, 36, open));
  const end = polar(joint, thumbAngle - lerp(34, 12, open) * thumbSide, 30);
  const thumb = tube([[...root], [...joint], [...end]], (u) => 16 - 4 * u * u, 26);
  return [
    palm,
    ...fingers,
    {
      kind: 'shape',
      id: `${id}-thumb`,
      outline: thumb.outline,
      soft: thumb.soft,
      mergeWith: [palmId],
      creasePx: 16,
    },
  ];
}
