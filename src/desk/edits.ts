/** Edits of a shot as entry bodies, each with the bodies that take it back. Pure. */
import type { Body } from '../note/entry.ts';
import { drawingLabelled } from '../shot/drawing-ref.ts';
import type { Chart, Exposure, Level, Role, Shot } from '../shot/model.ts';

export interface ShotFacts {
  readonly title: string;
  readonly fps: number;
}

export interface Edit {
  /** What was done, in words: `12 is a key`. */
  readonly says: string;
  readonly bodies: readonly Body[];
  readonly back: readonly Body[];
  /**
   * Entries as they stand that undo withdraws, and redo brings back by withdrawing the withdrawal. For what
   * has no opposite to write, such as a note; `bodies` and `back` are empty then.
   */
  readonly said?: readonly string[];
}

export function reversed(edit: Edit): Edit {
  return {
    says: edit.says,
    bodies: edit.back,
    back: edit.bodies,
    ...(edit.said && { said: edit.said }),
  };
}

export const roleWords: Readonly<Record<Role, string>> = {
  key: 'key',
  breakdown: 'breakdown',
  inbetween: 'in-between',
};

export function roleEdit(level: Level, roles: ReadonlyMap<string, Role | undefined>): Edit | undefined {
  const changed = [...roles].filter(([label, role]) => {
    const drawing = drawingLabelled(level, label);
    return drawing !== undefined && drawing.role !== role;
  });
  const first = changed[0];
  if (!first) return undefined;
  const body = (drawing: string, role: Role | undefined): Body => ({
    kind: 'role',
    level: level.name,
    drawing,
    role: role ?? null,
  });
  return {
    says:
      changed.length > 1
        ? `${changed.length} drawings have a role`
        : first[1]
          ? `${first[0]} is a ${roleWords[first[1]]}`
          : `${first[0]} has no role`,
    bodies: changed.map(([label, role]) => body(label, role)),
    back: changed.map(([label]) => body(label, drawingLabelled(level, label)?.role)),
  };
}

/** `says` where another sentence than of the whole chart fits. */
export function chartEdit(
  level: Level,
  label: string,
  chart: Chart | undefined,
  says?: string,
): Edit | undefined {
  const drawing = drawingLabelled(level, label);
  if (!drawing) return undefined;
  const body = (value: Chart | undefined): Body => ({
    kind: 'chart',
    level: level.name,
    drawing: label,
    chart: value ? saidChart(value) : null,
  });
  const [before, after] = [body(drawing.chart), body(chart)];
  if (JSON.stringify(before) === JSON.stringify(after)) return undefined;
  return {
    says: says ?? (chart ? `${label} lies between ${chart.from} and ${chart.to}` : `${label} has no chart`),
    bodies: [after],
    back: [before],
  };
}

/** Fields in one order, no empty list. */
function saidChart({ from, to, fraction, parts = [] }: Chart): Chart {
  return { from, to, fraction, ...(parts.length > 0 && { parts }) };
}

/** Says of a drawing that it runs on after the pose, or that it does not. */
export function runsOnEdit(level: Level, label: string, runsOn: boolean): Edit | undefined {
  const before = drawingLabelled(level, label)?.runsOn ?? false;
  if (before === runsOn) return undefined;
  const body = (value: boolean): Body => ({
    kind: 'drawing',
    level: level.name,
    drawing: label,
    runsOn: value,
  });
  return {
    says: runsOn ? `${label} runs on after the pose` : `${label} does not run on`,
    bodies: [body(runsOn)],
    back: [body(before)],
  };
}

/** The bodies that bring a level from its own exposures to `exposures`: one for each drawing that changed. */
export function exposureEdit(level: Level, exposures: readonly Exposure[], says: string): Edit | undefined {
  const of = (list: readonly Exposure[], drawing: string): { frame: number; length: number }[] =>
    list.filter((e) => e.drawing === drawing).map(({ frame, length }) => ({ frame, length }));
  const labels = new Set([...level.exposures, ...exposures].map((e) => e.drawing));
  const changed = [...labels].filter(
    (label) => JSON.stringify(of(level.exposures, label)) !== JSON.stringify(of(exposures, label)),
  );
  if (changed.length === 0) return undefined;
  const bodies = (list: readonly Exposure[]): Body[] =>
    changed.map((drawing) => ({
      kind: 'exposure',
      level: level.name,
      drawing,
      exposures: of(list, drawing),
    }));
  return { says, bodies: bodies(exposures), back: bodies(level.exposures) };
}

export function factsEdit(shot: Shot, to: ShotFacts): Edit | undefined {
  if (to.title === shot.title && to.fps === shot.fps && !shot.fpsGuessed) return undefined;
  const isTitle = to.title !== shot.title;
  const isRate = to.fps !== shot.fps || shot.fpsGuessed;
  // Only what changed: a title that somebody else changes meanwhile stays.
  const body = ({ title, fps }: { title: string; fps: number | null }): Body => ({
    kind: 'shot',
    ...(isTitle && { title }),
    ...(isRate && { fps }),
  });
  return {
    says: to.fps === shot.fps ? 'The title is changed' : `The shot runs at ${to.fps} frames a second`,
    bodies: [body(to)],
    back: [body({ title: shot.title, fps: shot.fpsGuessed ? null : shot.fps })],
  };
}

/** Several edits as one, undone as one; undefined when none of them changes anything. */
export function joined(edits: readonly (Edit | undefined)[], says: string): Edit | undefined {
  const real = edits.filter((edit) => edit !== undefined);
  if (real.length === 0) return undefined;
  return {
    says,
    bodies: real.flatMap(({ bodies }) => bodies),
    back: real.flatMap(({ back }) => back).reverse(),
  };
}
