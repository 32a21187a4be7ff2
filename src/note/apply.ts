/** The shot on paper after what people said of it: roles, charts and exposures. */
import { type DrawingRef, drawingKey } from '../shot/drawing-ref.ts';
import { groupBy } from '../shot/group-by.ts';
import type { Drawing, Level, Shot } from '../shot/model.ts';
import type { Entry } from './entry.ts';
import { settleExposures } from './settle-exposures.ts';
import { type EntryOf, inOrder, isKind, withdrawnIds } from './union.ts';

type PaperKind = 'role' | 'chart' | 'exposure';
type PaperEntry = EntryOf<PaperKind>;

/** One thing that was set on paper, and everything that was said of it, the latest first. */
export interface PaperHistory {
  readonly kind: PaperKind;
  readonly level: string;
  readonly drawing: string;
  /** Absent when all of it is withdrawn: the shot's own value holds. */
  readonly inForce: PaperEntry | undefined;
  /** Losers and withdrawn ones included. */
  readonly all: readonly PaperEntry[];
}

/**
 * The shot with its roles, charts and exposures as set, each drawing's by the last writer. Entries about a
 * drawing the shot lacks change nothing, and hold as soon as it is there. The shot given is not changed.
 *
 * Exposures are set drawing by drawing, so two people's can claim one frame: the later entry has it, and
 * the other drawing keeps the rest of its hold. What nobody set gives way to what somebody set.
 */
export function applyEntries(shot: Shot, entries: readonly Entry[]): Shot {
  const settled = new Map(paperHistory(entries).map((history) => [keyOf(history), history.inForce]));
  if (settled.size === 0) return shot;
  return { ...shot, levels: shot.levels.map((level) => applyToLevel(level, settled)) };
}

/** Who set what on paper, and what lost. */
export function paperHistory(entries: readonly Entry[]): PaperHistory[] {
  const ordered = inOrder(entries);
  const withdrawn = withdrawnIds(ordered);
  const byKey = groupBy(
    ordered.filter((entry) => isKind(entry, 'role', 'chart', 'exposure')),
    (entry) => keyOf(entry.body),
  );
  return [...byKey.values()].map((all) => {
    const { kind, level, drawing } = (all[0] as PaperEntry).body;
    const inForce = all.findLast((entry) => !withdrawn.has(entry.id));
    return { kind, level, drawing, inForce, all: all.toReversed() };
  });
}

function keyOf(at: DrawingRef & { readonly kind: PaperKind }): string {
  return `${at.kind} ${drawingKey(at)}`;
}

function applyToLevel(level: Level, settled: ReadonlyMap<string, PaperEntry | undefined>): Level {
  const find = <K extends PaperKind>(kind: K, drawing: string): EntryOf<K> | undefined =>
    settled.get(keyOf({ kind, level: level.name, drawing })) as EntryOf<K> | undefined;
  const drawings = level.drawings.map((drawing) =>
    applyToDrawing(drawing, find('role', drawing.label), find('chart', drawing.label)),
  );
  const set = level.drawings.flatMap((drawing) => find('exposure', drawing.label) ?? []);
  if (set.length === 0) return { ...level, drawings };
  const { exposuresGuessed: _, ...rest } = level;
  return { ...rest, drawings, exposures: settleExposures(level.exposures, set) };
}

function applyToDrawing(
  drawing: Drawing,
  role: EntryOf<'role'> | undefined,
  chart: EntryOf<'chart'> | undefined,
): Drawing {
  const { role: baseRole, chart: baseChart, ...rest } = drawing;
  const newRole = role === undefined ? baseRole : role.body.role;
  const newChart = chart === undefined ? baseChart : chart.body.chart;
  return { ...rest, ...(newRole && { role: newRole }), ...(newChart && { chart: newChart }) };
}
