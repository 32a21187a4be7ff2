/**
 * A note in the works, and a note being changed: plain data that is kept after every stroke and letter.
 * Nothing of it is said to anyone until it is pinned. Pure.
 */
import * as v from 'valibot';
import { type About, aboutSchema, type Body, id, type Stroke, strokeSchema } from '../../note/entry.ts';
import type { Note } from '../../note/merge.ts';

const labels = v.array(v.string());
const strokes = v.array(strokeSchema);
const finite = v.pipe(v.number(), v.finite());

/** One movement of the hand: what the rubber took, by place among the strokes, and what came. */
const stepSchema = v.object({ gone: v.array(v.number()), came: strokes });

export const draftSchema = v.object({
  /** Of the pin it becomes, so that a crash between pinning and forgetting the draft pins it once. */
  id,
  /** The note that it changes, when it is no new one. */
  to: v.optional(id),
  level: v.string(),
  drawing: v.string(),
  drawings: labels,
  image: v.string(),
  sizePx: v.tuple([v.number(), v.number()]),
  at: v.optional(v.tuple([finite, finite])),
  /** Strokes it began with: those of the note that it changes. */
  base: strokes,
  steps: v.array(stepSchema),
  undone: v.array(stepSchema),
  about: aboutSchema,
  text: v.string(),
  /** A finding it was made from. */
  finding: v.optional(id),
});

type Step = v.InferOutput<typeof stepSchema>;
export type Draft = v.InferOutput<typeof draftSchema>;

export const abouts: readonly About[] = aboutSchema.options;
/** What entries allow (`note/entry.ts`). */
const mostStrokes = 500;
export const mostPoints = 10_000;

/** The strokes as they stand. */
export function strokesOf({ base, steps }: Draft): readonly Stroke[] {
  return steps.reduce<readonly Stroke[]>(
    (all, { gone, came }) => [...all.filter((_, n) => !gone.includes(n)), ...came],
    base,
  );
}

const withStep = (draft: Draft, step: Step): Draft => ({
  ...draft,
  steps: [...draft.steps, step],
  undone: [],
});

/** Undefined when the note is full: a second note is then the way on. */
export function withStroke(draft: Draft, stroke: Stroke): Draft | undefined {
  if (strokesOf(draft).length >= mostStrokes) return undefined;
  const [x = 0, y = 0] = stroke.points;
  return { ...withStep(draft, { gone: [], came: [stroke] }), at: draft.at ?? [x, y] };
}

/** The strokes after the rubber went along `path` (flat x, y, pressure in px of the drawing). */
export function rubbed(draft: Draft, path: readonly number[], radiusPx: number): Draft {
  const gone: number[] = [];
  const came: Stroke[] = [];
  for (const [index, stroke] of strokesOf(draft).entries()) {
    const left = withoutPath(stroke, path, radiusPx);
    if (left.length === 1 && left[0] === stroke) continue;
    gone.push(index);
    came.push(...left);
  }
  return gone.length > 0 ? withStep(draft, { gone, came }) : draft;
}

/** What the rubber leaves of a stroke: itself when untouched, else its pieces. */
function withoutPath(stroke: Stroke, path: readonly number[], radiusPx: number): Stroke[] {
  const reachPx = radiusPx + stroke.widthPx / 2;
  const pieces: number[][] = [[]];
  let touched = false;
  for (let n = 0; n + 2 < stroke.points.length; n += 3) {
    const [x = 0, y = 0] = stroke.points.slice(n, n + 2);
    if (distanceToPathPx(x, y, path) <= reachPx) {
      touched = true;
      if (pieces.at(-1)?.length) pieces.push([]);
    } else pieces.at(-1)?.push(...stroke.points.slice(n, n + 3));
  }
  if (!touched) return [stroke];
  // A lone point left over is a crumb, not a stroke.
  return pieces.filter((points) => points.length > 3).map((points) => ({ ...stroke, points }));
}

/** Distance from a point to a polyline of triples; infinite for none. */
export function distanceToPathPx(x: number, y: number, path: readonly number[]): number {
  let least = Number.POSITIVE_INFINITY;
  for (let n = 0; n + 2 < path.length; n += 3) {
    const [ax = 0, ay = 0] = [path[n], path[n + 1]];
    const [bx, by] = [path[n + 3] ?? ax, path[n + 4] ?? ay];
    const [dx, dy] = [bx - ax, by - ay];
    const along = dx || dy ? ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy) : 0;
    const t = Math.min(1, Math.max(0, along));
    least = Math.min(least, Math.hypot(x - ax - t * dx, y - ay - t * dy));
  }
  return least;
}

export function undoStep(draft: Draft): Draft {
  const last = draft.steps.at(-1);
  return last ? { ...draft, steps: draft.steps.slice(0, -1), undone: [...draft.undone, last] } : draft;
}

export function redoStep(draft: Draft): Draft {
  const next = draft.undone.at(-1);
  return next ? { ...draft, steps: [...draft.steps, next], undone: draft.undone.slice(0, -1) } : draft;
}

/** Whether anything was drawn or written that would be missed. */
export const holdsSomething = (draft: Draft): boolean =>
  strokesOf(draft).length > 0 || draft.text.trim() !== '';

/** A draft that changes a pinned note. */
export function draftOf(note: Note, newId: string): Draft {
  const { level, drawing, image, sizePx, at } = note.pin.body;
  return {
    id: newId,
    to: note.id,
    level,
    drawing,
    drawings: [...note.drawings],
    image,
    sizePx,
    at,
    base: [...note.strokes],
    steps: [],
    undone: [],
    about: note.about,
    text: note.text,
  };
}

/**
 * What pinning says: a pin, or an edit of the fields that changed; undefined when nothing did. `cleanNow`: SHA-256
 * of a drawing's newest clean.
 */
export function bodyOf(
  draft: Draft,
  note: Note | undefined,
  cleanNow: (label: string) => string | undefined,
): Body | undefined {
  const { level, drawing, image, sizePx, about, text, finding } = draft;
  const strokes = [...strokesOf(draft)];
  const onOf = (labels: readonly string[]): Pick<Extract<Body, { kind: 'pin' }>, 'on'> => {
    const added = labels.filter((label) => label !== drawing && !note?.on.has(label));
    const known = added.flatMap((label) => {
      const sha256 = cleanNow(label);
      return sha256 === undefined ? [] : [[label, sha256] as const];
    });
    return known.length > 0 ? { on: Object.fromEntries(known) } : {};
  };
  if (draft.to === undefined) {
    const at = draft.at ?? [sizePx[0] / 2, sizePx[1] / 2];
    const drawings = draft.drawings.includes(drawing) ? draft.drawings : [drawing, ...draft.drawings];
    return {
      kind: 'pin',
      level,
      drawing,
      drawings,
      image,
      ...onOf(drawings),
      sizePx,
      at,
      strokes,
      about,
      text,
      ...(finding && { finding }),
    };
  }
  const changed = {
    ...(text !== note?.text && { text }),
    ...(about !== note?.about && { about }),
    ...(String(draft.drawings) !== String(note?.drawings) && {
      drawings: draft.drawings,
      ...onOf(draft.drawings),
    }),
    ...((draft.steps.length > 0 || !note) && { strokes }),
  };
  return Object.keys(changed).length > 0 ? { kind: 'edit', to: draft.to, ...changed } : undefined;
}

/** Labels from one to another in screen order, whichever comes first; `drawing` always among them. */
export function runOf(order: readonly string[], drawing: string, from: string, to: string): string[] {
  const [a, b] = [order.indexOf(from), order.indexOf(to)];
  if (a < 0 || b < 0) return [drawing];
  const run = order.slice(Math.min(a, b), Math.max(a, b) + 1);
  return run.includes(drawing) ? run : [drawing, ...run];
}
