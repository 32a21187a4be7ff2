/**
 * A drawing as shapes one in front of another, and the line that is seen of them. Lines hidden by a
 * shape in front stop exactly on its outline, so that regions close.
 */
import { keepClear } from './clear.ts';
import { areaPx2, contains, dist, mix, type Outline, outlineOf, type Pt, STEP_PX } from './geometry.ts';

/** A closed shape: hides what lies behind it. */
export interface Shape {
  readonly kind: 'shape';
  readonly id: string;
  readonly outline: readonly Pt[];
  /** Shapes it grows together with: its line is not drawn inside them, whichever lies in front. */
  readonly mergeWith?: readonly string[];
  /** Where given, merging happens only at samples marked true (a limb's root). */
  readonly soft?: readonly boolean[];
  /** Shapes lying between it and what it merges with: over them its line shows. */
  readonly over?: readonly string[];
  /** How far the line runs on, thinning, into a shape it merges with: a crease, px. */
  readonly creasePx?: number;
}

/** A line that bounds nothing by itself: a fold, a seam, a lock of hair, or a ring inside a shape. */
export interface Stroke {
  readonly kind: 'stroke';
  readonly id: string;
  readonly path: readonly Pt[];
  readonly closed?: boolean;
  /** Drawn only inside this shape. */
  readonly within?: string;
  /** Which ends thin out; an end that meets another line does not. Both, when left out. */
  readonly taper?: readonly [start: boolean, end: boolean];
  /** Never shortened for the sake of lines near its ends: a mouth, a closed eye. */
  readonly stays?: boolean;
}

/** Solid black: `outline`, inside `within`, less `except`. */
export interface Solid {
  readonly kind: 'solid';
  readonly id: string;
  readonly outline: readonly Pt[];
  readonly within: string;
  readonly except: readonly Pt[];
}

export type Item = Shape | Stroke | Solid;

/** A piece of line that is seen, in drawing order along it. */
export interface Run {
  readonly id: string;
  readonly path: readonly Pt[];
  readonly closed: boolean;
  /** The end thins out instead of meeting another line. */
  readonly taper: readonly [start: boolean, end: boolean];
  /** How many samples at each end can be left out without opening a region. */
  readonly spare: readonly [start: number, end: number];
  readonly stays?: boolean;
}

/** What a drawing is made of, besides its size. Items run from the back to the front. */
export interface Scene {
  readonly items: readonly Item[];
  /** Construction: drawn in coloured pencil on the rough only. */
  readonly construction: readonly Construction[];
}

export interface Construction {
  readonly path: readonly Pt[];
  readonly pencil: 'red' | 'blue';
  /** 0 to 1. */
  readonly pressure: number;
}

/** The larger masses drawn through, as an animator lays them in before the line. */
export function massesOf(items: readonly Item[]): Construction[] {
  return items.flatMap((item): Construction[] =>
    item.kind === 'shape' && areaPx2(item.outline) > 3500
      ? [{ path: [...item.outline, item.outline[0]!], pencil: 'red', pressure: 0.55 }]
      : [],
  );
}

/** The scene enlarged and moved, its shapes renamed with `prefix` so that scenes can be laid together. */
export function moved(scene: Scene, prefix: string, scale: number, dx: number, dy: number): Scene {
  const all = (path: readonly Pt[]): Pt[] => path.map(([x, y]): Pt => [x * scale + dx, y * scale + dy]);
  const name = (id: string): string => prefix + id;
  return {
    items: scene.items.map((item): Item => {
      const id = name(item.id);
      if (item.kind === 'shape')
        return {
          ...item,
          id,
          outline: all(item.outline),
          mergeWith: (item.mergeWith ?? []).map(name),
          over: (item.over ?? []).map(name),
        };
      const within = item.within ? { within: name(item.within) } : {};
      if (item.kind === 'stroke') return { ...item, id, path: all(item.path), ...within };
      return { ...item, id, outline: all(item.outline), within: name(item.within), except: all(item.except) };
    }),
    construction: scene.construction.map((line) => ({ ...line, path: all(line.path) })),
  };
}

const SEEN = 0;
const HIDDEN = 1;
const MERGED = 2;

/** The lines seen of the scene's shapes and strokes. Solids are left out. */
export function visibleRuns(scene: Scene): Run[] {
  const outlines = new Map<string, Outline>();
  for (const item of scene.items) if (item.kind === 'shape') outlines.set(item.id, outlineOf(item.outline));
  const runs = scene.items.flatMap((item, index) => {
    if (item.kind === 'solid') return [];
    const inFront = scene.items
      .slice(index + 1)
      .filter((other) => other.kind === 'shape')
      .map((other) => outlines.get(other.id)!);
    const named = (ids: readonly string[] = []): Outline[] => ids.flatMap((id) => outlines.get(id) ?? []);
    const merged = named(item.kind === 'shape' ? item.mergeWith : []);
    const over = named(item.kind === 'shape' ? item.over : []);
    const within = item.kind === 'stroke' && item.within ? outlines.get(item.within) : undefined;
    const soft = item.kind === 'shape' ? item.soft : undefined;
    const state = (p: Pt, i: number): number => {
      if (within && !contains(within, p)) return HIDDEN;
      if (inFront.some((o) => contains(o, p))) return HIDDEN;
      if ((!soft || soft[i]) && merged.some((o) => contains(o, p)) && !over.some((o) => contains(o, p)))
        return MERGED;
      return SEEN;
    };
    return item.kind === 'shape'
      ? cut(
          item.id,
          item.outline,
          true,
          state,
          item.creasePx ?? 0,
          [false, false],
          item.over ? 2 * (item.creasePx ?? 0) : 0,
        )
      : cut(item.id, item.path, item.closed ?? false, state, 0, item.taper ?? [true, true]).map((run) => ({
          ...run,
          stays: item.stays ?? false,
        }));
  });
  return keepClear(runs);
}

function cut(
  id: string,
  path: readonly Pt[],
  closed: boolean,
  state: (p: Pt, i: number) => number,
  creasePx: number,
  taper: readonly [boolean, boolean],
  bridgePx = 0,
): Run[] {
  const n = path.length;
  const states = path.map((p, i) => state(p, i));
  // Two creases that would run into each other are one line.
  for (let i = 0; i < n; i++) {
    let end = i;
    while (end < n - 1 && states[end] === MERGED) end++;
    if (end > i && states[i - 1] === SEEN && states[end] === SEEN && (end - i) * STEP_PX < bridgePx)
      states.fill(SEEN, i, end);
    i = end;
  }
  if (states.every((s) => s === SEEN))
    return [{ id, path, closed, taper, spare: taper.map((open) => (open ? n : 0)) as [number, number] }];
  const start = closed ? states.findIndex((s) => s !== SEEN) : 0;
  const at = (k: number): number => (closed ? (k + start + n) % n : k);
  const runs: Run[] = [];
  for (let k = 0; k < n; k++) {
    if (states[at(k)] !== SEEN || (k > 0 && states[at(k - 1)] === SEEN)) continue;
    let end = k;
    while (end + 1 < n && states[at(end + 1)] === SEEN) end++;
    const points: Pt[] = [];
    for (let j = k; j <= end; j++) points.push(path[at(j)]!);
    const head = closed || k > 0 ? follow(path, states, at, k, -1, state, creasePx) : null;
    const tail = closed || end < n - 1 ? follow(path, states, at, end, 1, state, creasePx) : null;
    const whole = [...(head?.points.reverse() ?? []), ...points, ...(tail?.points ?? [])];
    const open = [head ? head.creased : taper[0], tail ? tail.creased : taper[1]] as const;
    // A crease may go; its first point lies on the edge that closes the region.
    const spare = (end: typeof head, isOpen: boolean): number =>
      isOpen ? (end ? end.points.length - 1 : whole.length) : 0;
    runs.push({
      id,
      path: whole,
      closed: false,
      taper: open,
      spare: [spare(head, open[0]), spare(tail, open[1])],
    });
    k = end;
  }
  return runs;
}

/** From the last seen sample `k` on: to the very edge of what hides the line, or into a crease. */
function follow(
  path: readonly Pt[],
  states: readonly number[],
  at: (k: number) => number,
  k: number,
  dir: 1 | -1,
  state: (p: Pt, i: number) => number,
  creasePx: number,
): { points: Pt[]; creased: boolean } {
  let j = k + dir;
  let seen = path[at(k)]!;
  let hidden = path[at(j)]!;
  const isCrease = creasePx > 0 && states[at(j)] === MERGED;
  // Bisection to a hundredth of a pixel; the sample's own index decides on softness.
  while (dist(seen, hidden) > 0.01) {
    const half = mix(seen, hidden, 0.5);
    if (state(half, at(j)) === SEEN) seen = half;
    else hidden = half;
  }
  const points: Pt[] = [seen];
  if (isCrease)
    for (let s = 0; s < creasePx && states[at(j)] === MERGED; s += STEP_PX, j += dir)
      points.push(path[at(j)]!);
  return { points, creased: isCrease };
}

/** Where solid black lies: a box around it, and whether a point is in it. */
export function solidAt(scene: Scene): { box: Outline['box']; inside: (p: Pt) => boolean }[] {
  return scene.items.flatMap((item, index) => {
    if (item.kind !== 'solid') return [];
    const whole = outlineOf(item.outline);
    const except = outlineOf(item.except);
    const host = scene.items.find((o) => o.id === item.within && o.kind === 'shape');
    const within = host?.kind === 'shape' ? outlineOf(host.outline) : whole;
    const inFront = scene.items
      .slice(index + 1)
      .flatMap((o) => (o.kind === 'shape' ? [outlineOf(o.outline)] : []));
    return [
      {
        box: whole.box,
        inside: (p: Pt) =>
          contains(whole, p) &&
          contains(within, p) &&
          !contains(except, p) &&
          !inFront.some((o) => contains(o, p)),
      },
    ];
  });
}
