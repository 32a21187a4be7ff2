/** A gust takes a kite up and across; it stops, and its tail goes on without it and comes back. */
import { breakdown, inbetween, key, type Timed } from '../paper/timing.ts';
import type { KitePose, TailPose } from './pose.ts';

const THIRD = 1 / 3;

const adrift: KitePose = {
  x: 640,
  y: 310,
  angle: -16,
  bank: 0.94,
  billow: 16,
  tasselLeft: 40,
  tasselRight: 34,
  eyes: 0,
  smile: 0.3,
};
const caught: KitePose = {
  ...adrift,
  x: 800,
  y: 372,
  angle: 20,
  bank: 0.8,
  billow: 36,
  tasselLeft: 4,
  tasselRight: 92,
  eyes: 0.4,
  smile: 0,
};
const aloft: KitePose = {
  ...adrift,
  x: 1240,
  y: 330,
  angle: 34,
  bank: 0.98,
  billow: 26,
  tasselLeft: 78,
  tasselRight: 6,
  eyes: 1,
  smile: 1,
};

export const KITE_TIMING: readonly Timed<KitePose>[] = [
  key('1', 2, adrift),
  inbetween('3', 2, ['1', '5', 0.5]),
  breakdown('5', 2, ['1', '9', 0.5], { tasselLeft: 30, tasselRight: 70, billow: 30, bank: 0.88 }),
  inbetween('7', 2, ['5', '9', 0.5]),
  key('9', 2, caught),
  inbetween('11', 1, ['9', '13', THIRD]),
  inbetween('12', 1, ['9', '13', 2 * THIRD]),
  breakdown('13', 2, ['9', '17', 0.5], { tasselLeft: 20, tasselRight: 96, billow: 44, eyes: 0.2 }),
  inbetween('15', 2, ['13', '17', 0.5]),
  key('17', 16, aloft),
];

const trailing: TailPose = {
  x: 690,
  y: 480,
  a: 100,
  b: 128,
  c: 104,
  d: 72,
  e: 96,
  twist: 20,
  twistMore: 300,
  bowLag: -6,
};
const slack: TailPose = {
  ...trailing,
  x: 742,
  y: 536,
  a: 138,
  b: 112,
  c: 128,
  d: 146,
  e: 104,
  twist: 30,
  twistMore: 320,
  bowLag: 14,
};
const towed: TailPose = {
  ...trailing,
  x: 1146,
  y: 470,
  a: 128,
  b: 160,
  c: 186,
  d: 160,
  e: 138,
  twist: 46,
  twistMore: 342,
  bowLag: 20,
};
const overrun: TailPose = {
  ...towed,
  a: 112,
  b: 84,
  c: 58,
  d: 84,
  e: 122,
  twist: 26,
  twistMore: 300,
  bowLag: -20,
};
const hanging: TailPose = {
  ...towed,
  a: 118,
  b: 104,
  c: 82,
  d: 78,
  e: 100,
  twist: 34,
  twistMore: 318,
  bowLag: 4,
};

export const TAIL_TIMING: readonly Timed<TailPose>[] = [
  key('1', 2, trailing),
  inbetween('3', 2, ['1', '5', 0.5]),
  breakdown('5', 2, ['1', '9', 0.5], { b: 134, c: 128, d: 96, e: 76 }),
  inbetween('7', 2, ['5', '9', 0.5]),
  key('9', 2, slack),
  inbetween('11', 1, ['9', '13', THIRD]),
  inbetween('12', 1, ['9', '13', 2 * THIRD]),
  breakdown('13', 2, ['9', '17', 0.5], { a: 146, b: 150, c: 146, d: 160, e: 168 }),
  inbetween('15', 2, ['13', '17', 0.5]),
  key('17', 2, towed),
  // The kite holds; the tail flies past and back.
  inbetween('19', 1, ['17', '20', 0.5]),
  breakdown('20', 2, ['17', '22', 0.5], { b: 118, c: 132, d: 150, e: 160 }),
  key('22', 3, overrun),
  inbetween('25', 2, ['22', '30', THIRD]),
  inbetween('27', 3, ['22', '30', 2 * THIRD]),
  key('30', 3, hanging),
];
