/**
 * The desk as plain data: what lies on the paper, and how it is looked at. `act` is the only way it
 * changes. Pure: no clock, no platform.
 */

import { drawingLabelled, levelNamed } from '../shot/drawing-ref.ts';
import { exposureAt, labelsInScreenOrder, lastFrame } from '../shot/exposures.ts';
import { flipSet, mostHeld } from '../shot/flip-sets.ts';
import type { Level, Shot } from '../shot/model.ts';
import type { Compare } from '../stage/types.ts';
import { exposureInSet, nearestFrameOf } from './sheet.ts';

export type Way = Compare['way'];
export type SetKind = Parameters<typeof flipSet>[1]['kind'];

/** In the order of their buttons and of the keys 1 to 6. */
export const ways: readonly Way[] = ['clean', 'rough', 'underlay', 'side by side', 'wipe', 'difference'];

/** In the order of their buttons. */
export const setKinds: readonly SetKind[] = ['keys', 'keys and breakdowns', 'all', 'held'];

/** Neighbours to each side; more than three cannot be told apart. */
export const neighboursMost = 3;
/** A hand rolls about six drawings a second (common practice, no source). */
const rollUsualPerSecond = 6;

/** As fast as the shot, half as fast, a quarter as fast. */
export const paces = [1, 0.5, 0.25] as const;
export type Pace = (typeof paces)[number];

export interface DeskModel {
  /** The level that is flipped. */
  readonly level: string;
  /** The other levels lie on the paper too, at the same frame. */
  readonly together: boolean;
  readonly drawing: string;
  /** Frame on the sheet, from 1; 0 when the drawing is not on the sheet. */
  readonly frame: number;
  readonly set: SetKind;
  /** Labels held between the fingers, by level. */
  readonly held: Readonly<Record<string, readonly string[]>>;
  readonly way: Way;
  /** Opacity of the rough under the clean, 0..1. */
  readonly underlay: number;
  /** Where the wipe stands, 0..1 across. */
  readonly wipe: number;
  /** The other layer is shown for as long as this is true. */
  readonly other: boolean;
  /** How many neighbours show through on each side. */
  readonly before: number;
  readonly after: number;
  readonly motion: 'still' | 'play' | 'roll';
  readonly loop: boolean;
  /** The frames that play; all of the shot when left out. */
  readonly part: { readonly from: number; readonly to: number } | undefined;
  /** Share of the shot's rate at which it plays. */
  readonly pace: Pace;
  readonly rollPerSecond: number;
  /** Which way the last flip went: decoding looks there first. */
  readonly direction: 1 | -1;
}

export type Act =
  /** Drawings of the set to go by, signed. */
  | { readonly do: 'step'; readonly by: number }
  | { readonly do: 'end'; readonly which: 'first' | 'last' }
  | { readonly do: 'drawing'; readonly label: string }
  | { readonly do: 'frame'; readonly frame: number }
  | { readonly do: 'level'; readonly level: string }
  | { readonly do: 'together' }
  | { readonly do: 'set'; readonly set: SetKind }
  /** Takes a drawing between the fingers, or lets it go. */
  | { readonly do: 'pick'; readonly label: string }
  | { readonly do: 'let go' }
  | { readonly do: 'way'; readonly way: Way }
  | { readonly do: 'underlay'; readonly opacity: number }
  | { readonly do: 'wipe'; readonly at: number }
  | { readonly do: 'other'; readonly shown: boolean }
  | { readonly do: 'neighbours'; readonly before: number; readonly after: number }
  | { readonly do: 'motion'; readonly motion: DeskModel['motion'] }
  | { readonly do: 'loop' }
  /** Frames in either order; undefined plays all of the shot. */
  | { readonly do: 'part'; readonly part: DeskModel['part'] }
  | { readonly do: 'pace'; readonly pace: Pace }
  | { readonly do: 'roll rate'; readonly perSecond: number };

/** The desk as it stands when a shot is opened for the first time. */
export function firstModel(shot: Shot): DeskModel {
  const level = shot.levels.find(({ exposures }) => exposures.length > 0) ?? shot.levels[0];
  const first = level?.exposures[0];
  return {
    level: level?.name ?? '',
    together: shot.levels.length > 1,
    drawing: first?.drawing ?? level?.drawings[0]?.label ?? '',
    frame: first?.frame ?? 0,
    set: 'all',
    held: {},
    way: 'clean',
    underlay: 0.06, // common practice, no source
    wipe: 0.5,
    other: false,
    before: 0,
    after: 0,
    motion: 'still',
    loop: true,
    part: undefined,
    pace: 1,
    rollPerSecond: rollUsualPerSecond,
    direction: 1,
  };
}

export function heldOn(model: DeskModel): readonly string[] {
  return model.held[model.level] ?? [];
}

/** The labels that a flip goes through. */
export function flipLabels(shot: Shot, model: DeskModel): string[] {
  const level = levelNamed(shot, model.level);
  return level ? flipSet(level, { kind: model.set, labels: heldOn(model) }) : [];
}

const clamp = (value: number, low: number, high: number): number => Math.min(high, Math.max(low, value));

/** Puts a drawing on the paper. `from` is where the hand comes from. */
function lay(model: DeskModel, level: Level, label: string, forwards: boolean): DeskModel {
  const frame = nearestFrameOf(level, label, model.frame, forwards);
  return { ...model, drawing: label, frame, direction: forwards ? 1 : -1 };
}

function step(model: DeskModel, level: Level, labels: readonly string[], by: number): DeskModel {
  if (labels.length === 0 || by === 0) return model;
  const here = labels.indexOf(model.drawing);
  if (here >= 0) {
    const label = labels[clamp(here + by, 0, labels.length - 1)] ?? model.drawing;
    return label === model.drawing ? model : lay(model, level, label, by > 0);
  }
  // The drawing on the paper is not in the set: go from its place among all drawings.
  const order = labelsInScreenOrder(level);
  const place = order.indexOf(model.drawing);
  const next =
    by > 0
      ? labels.find((label) => order.indexOf(label) > place)
      : labels.findLast((label) => order.indexOf(label) < place);
  return next === undefined ? model : lay(model, level, next, by > 0);
}

function goToFrame(shot: Shot, model: DeskModel, level: Level, asked: number): DeskModel {
  const frame = clamp(Math.round(asked), 1, Math.max(1, lastFrame(shot)));
  const exposure = exposureInSet(level, new Set(flipLabels(shot, model)), frame);
  if (!exposure) return model;
  const direction = frame === model.frame ? model.direction : frame > model.frame ? 1 : -1;
  return { ...model, drawing: exposure.drawing, frame, direction };
}

/** After the set changed: the nearest drawing of the set, at or before the one on the paper. */
function settle(shot: Shot, model: DeskModel, level: Level): DeskModel {
  const labels = flipLabels(shot, model);
  if (labels.length === 0 || labels.includes(model.drawing)) return model;
  const back = step(model, level, labels, -1);
  return back === model ? step(model, level, labels, 1) : back;
}

function pick(shot: Shot, model: DeskModel, level: Level, label: string): DeskModel {
  const held = heldOn(model);
  const kept = held.includes(label)
    ? held.filter((other) => other !== label)
    : held.length < mostHeld && drawingLabelled(level, label)
      ? [...held, label]
      : held;
  if (kept === held) return model;
  const picked = { ...model, held: { ...model.held, [level.name]: kept } };
  return model.set === 'held' && kept.length > 0 ? settle(shot, picked, level) : picked;
}

/** The desk after one act. An act that cannot be done leaves the desk as it was (the same object). */
export function act(shot: Shot, model: DeskModel, what: Act): DeskModel {
  // Away from a level that is not here any more there is a way.
  if (what.do === 'level') return chooseLevel(shot, model, what.level);
  const level = levelNamed(shot, model.level);
  if (!level) return model;
  switch (what.do) {
    case 'step':
      return step(model, level, flipLabels(shot, model), Math.trunc(what.by));
    case 'end': {
      const label = flipLabels(shot, model).at(what.which === 'first' ? 0 : -1);
      return label === undefined ? model : lay(model, level, label, what.which === 'last');
    }
    case 'drawing':
      return drawingLabelled(level, what.label) ? lay(model, level, what.label, true) : model;
    case 'frame':
      return goToFrame(shot, model, level, what.frame);
    case 'together':
      return { ...model, together: !model.together };
    case 'set':
      return settle(shot, { ...model, set: what.set }, level);
    case 'pick':
      return pick(shot, model, level, what.label);
    case 'let go':
      return {
        ...model,
        held: { ...model.held, [level.name]: [] },
        set: model.set === 'held' ? 'all' : model.set,
        motion: model.motion === 'roll' ? 'still' : model.motion,
      };
    case 'way':
      return { ...model, way: what.way };
    case 'underlay':
      return { ...model, underlay: clamp(what.opacity, 0, 1) };
    case 'wipe':
      return { ...model, wipe: clamp(what.at, 0, 1) };
    case 'other':
      return { ...model, other: what.shown };
    case 'neighbours':
      return {
        ...model,
        before: clamp(what.before, 0, neighboursMost),
        after: clamp(what.after, 0, neighboursMost),
      };
    case 'motion':
      return { ...model, motion: what.motion };
    case 'loop':
      return { ...model, loop: !model.loop };
    case 'part':
      return { ...model, part: what.part && partWithin(shot, what.part) };
    case 'pace':
      return { ...model, pace: what.pace };
    case 'roll rate':
      return { ...model, rollPerSecond: clamp(what.perSecond, 1, 12) };
  }
}

/** From the smaller to the larger, within the shot; undefined when that is all of it. */
function partWithin(shot: Shot, { from, to }: NonNullable<DeskModel['part']>): DeskModel['part'] {
  const last = Math.max(1, lastFrame(shot));
  const [first, end] = [from, to].map((frame) => clamp(Math.round(frame), 1, last)).sort((a, b) => a - b);
  return first === undefined || end === undefined || (first === 1 && end === last)
    ? undefined
    : { from: first, to: end };
}

/** The frames that play, ends included, whatever the shot has become since the part was set. */
export function playedFrames(shot: Shot, model: DeskModel): { readonly from: number; readonly to: number } {
  const last = lastFrame(shot);
  return (model.part && partWithin(shot, model.part)) ?? { from: 1, to: last };
}

function chooseLevel(shot: Shot, model: DeskModel, name: string): DeskModel {
  const level = levelNamed(shot, name);
  if (!level || name === model.level) return model;
  const exposure = exposureAt(level, model.frame) ?? level.exposures[0];
  const moved = {
    ...model,
    level: name,
    drawing: exposure?.drawing ?? level.drawings[0]?.label ?? '',
    frame: exposure ? (exposureAt(level, model.frame) ? model.frame : exposure.frame) : 0,
  };
  return settle(shot, moved, level);
}

/** What the stage is asked to show: the other layer while it is held up, else the way in force. */
export function compareOf(model: DeskModel): Compare {
  if (model.other) return { way: model.way === 'rough' ? 'clean' : 'rough' };
  switch (model.way) {
    case 'underlay':
      return { way: 'underlay', opacity: model.underlay };
    case 'wipe':
      return { way: 'wipe', at: model.wipe };
    default:
      return { way: model.way };
  }
}
