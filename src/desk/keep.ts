/** What of the desk survives a reload, and how it is read back, whatever an older build wrote. Pure. */
import * as v from 'valibot';
import { bodySchema } from '../note/entry.ts';
import { drawingOf } from '../shot/drawing-ref.ts';
import type { Shot } from '../shot/model.ts';
import type { Camera } from '../stage/types.ts';
import { type History, noHistory } from './history.ts';
import { type DeskModel, firstModel, paces, setKinds, ways } from './model.ts';

export interface Kept {
  readonly model: DeskModel;
  readonly camera: Camera | undefined;
  /** The whole paper is in view: it is fitted again, whatever the screen. */
  readonly fitted: boolean;
  readonly history: History;
  readonly panel: string | undefined;
  /** What each list of the desk shows, by list; whose list it is reads it (`kept-filter.ts`). */
  readonly lists: Readonly<Record<string, unknown>>;
}

const finite = v.pipe(v.number(), v.finite());
const editSchema = v.object({
  says: v.string(),
  bodies: v.array(bodySchema),
  back: v.array(bodySchema),
  said: v.optional(v.array(v.string())),
});
const historySchema = v.object({ done: v.array(editSchema), undone: v.array(editSchema) });
const cameraSchema = v.object({
  centre: v.tuple([finite, finite]),
  zoom: v.pipe(finite, v.gtValue(0)),
  angleRad: finite,
  mirrored: v.boolean(),
});

const parsed = <S extends v.GenericSchema>(schema: S, value: unknown): v.InferOutput<S> | undefined => {
  const result = v.safeParse(schema, value);
  return result.success ? result.output : undefined;
};

/** Plain data for the shelf. A motion does not go on by itself after a reload. */
export function toKeep({ model, ...rest }: Kept): Record<string, unknown> {
  return { v: 1, model: { ...model, motion: 'still', other: false }, ...rest };
}

/** The desk as it was left. What cannot be read, or names a drawing that is gone, starts afresh. */
export function fromKept(shot: Shot, kept: Readonly<Record<string, unknown>> | undefined): Kept {
  const start = firstModel(shot);
  const levelNames = shot.levels.map(({ name }) => name);
  const modelSchema = v.object({
    level: v.picklist(levelNames),
    together: v.fallback(v.boolean(), start.together),
    drawing: v.string(),
    frame: v.pipe(v.number(), v.integer(), v.minValue(0)),
    set: v.fallback(v.picklist(setKinds), start.set),
    held: v.fallback(v.record(v.string(), v.array(v.string())), {}),
    way: v.fallback(v.picklist(ways), start.way),
    underlay: v.fallback(finite, start.underlay),
    wipe: v.fallback(finite, start.wipe),
    before: v.fallback(v.number(), 0),
    after: v.fallback(v.number(), 0),
    loop: v.fallback(v.boolean(), true),
    part: v.fallback(v.optional(v.object({ from: finite, to: finite })), undefined),
    pace: v.fallback(v.picklist(paces), start.pace),
    rollPerSecond: v.fallback(finite, start.rollPerSecond),
  });
  const model = parsed(modelSchema, kept?.['model']);
  const known = model && drawingOf(shot, model) ? { ...start, ...model } : start;
  const camera = parsed(cameraSchema, kept?.['camera']);
  return {
    model: known,
    camera,
    fitted: camera === undefined || parsed(v.boolean(), kept?.['fitted']) === true,
    history: parsed(historySchema, kept?.['history']) ?? noHistory,
    panel: parsed(v.string(), kept?.['panel']),
    lists: parsed(v.record(v.string(), v.unknown()), kept?.['lists']) ?? {},
  };
}
