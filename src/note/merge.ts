/** The notes of a shot: a pure function of its set of entries, whatever the order and the repeats. */
import { type DrawingRef, drawingKey } from '../shot/drawing-ref.ts';
import { groupBy } from '../shot/group-by.ts';
import type { About, DrawingState, Entry, NoteState, Stroke } from './entry.ts';
import { isOrigin } from './origin.ts';
import { isKnown } from './parse.ts';
import { takesOf } from './takes.ts';
import { compareEntries, type EntryOf, inOrder, isKind, union, withdrawnIds } from './union.ts';

export interface Reply {
  readonly entry: EntryOf<'reply'>;
  /** After edits. */
  readonly text: string;
  readonly withdrawn: boolean;
}

export interface Note {
  /** The pin's id. */
  readonly id: string;
  readonly pin: EntryOf<'pin'>;
  /** These four after edits, each field by its last writer. */
  readonly text: string;
  readonly about: About;
  readonly drawings: readonly string[];
  readonly strokes: readonly Stroke[];
  /** The picture each of its drawings had when the note came to hold for it, as far as that was written down. */
  readonly on: ReadonlyMap<string, string>;
  readonly edited: boolean;
  readonly withdrawn: boolean;
  readonly state: NoteState;
  /** What set the state; absent while nobody has. */
  readonly stateBy: EntryOf<'state'> | undefined;
  /** In order of time; withdrawn ones included. */
  readonly replies: readonly Reply[];
  /** Everything ever said of the note, in order of time, what lost or was withdrawn included. */
  readonly history: readonly Entry[];
}

export interface Dismissal {
  readonly entry: EntryOf<'dismiss'>;
  readonly lineDigest: string;
  readonly reason: string;
}

export interface Notes {
  /** In order of pinning; withdrawn ones included. */
  readonly notes: readonly Note[];
  /** By `drawingKey`; a drawing nobody spoke of is absent. */
  readonly drawingStates: ReadonlyMap<string, { readonly state: DrawingState; readonly entry: Entry }>;
  /** By `dismissalKey`; those taken back are absent. */
  readonly dismissals: ReadonlyMap<string, Dismissal>;
  /** Speaks of something that has not arrived: shown nowhere yet, lost never. */
  readonly waiting: readonly Entry[];
  /** Of later versions: kept and passed on. */
  readonly unknown: readonly Entry[];
}

/** `finding` is the key that room `check` gives it. */
export function dismissalKey(at: DrawingRef, finding: string): string {
  return `${finding} ${drawingKey(at)}`;
}

/** Linear in the number of entries, but for sorting. */
export function mergeNotes(entries: readonly Entry[]): Notes {
  const ordered = inOrder(entries);
  const withdrawn = withdrawnIds(ordered);
  const threads = thread(ordered);
  const notes = [...threads.byPin.values()].map((history) => readNote(history, withdrawn));
  return {
    notes,
    drawingStates: lastDrawingStates(ordered, withdrawn),
    dismissals: lastDismissals(ordered, withdrawn),
    waiting: threads.waiting,
    unknown: union(entries)
      .filter((entry) => !isKnown(entry))
      .sort(compareEntries),
  };
}

/**
 * Groups what belongs to a note: the pin, and what speaks of it or of something in the same thread. Targets
 * are looked up by id, not by time, since a clock may put an answer before its question.
 */
function thread(ordered: readonly Entry[]): { byPin: Map<string, Entry[]>; waiting: Entry[] } {
  const byId = new Map(ordered.map((entry) => [entry.id, entry]));
  const roots = new Map<string, string | undefined>();
  const rootOf = (entry: Entry): string | undefined => {
    const path: string[] = [];
    let at: Entry | undefined = entry;
    while (at !== undefined && !roots.has(at.id)) {
      const target = targetOf(at);
      // Marked before it is known, so that a circle of entries ends here, without a root.
      roots.set(at.id, target === undefined ? at.id : undefined);
      path.push(at.id);
      at = target === undefined ? undefined : byId.get(target);
    }
    const root = at === undefined ? roots.get(path.at(-1) ?? entry.id) : roots.get(at.id);
    for (const id of path) roots.set(id, root);
    return root;
  };
  const groups = groupBy(ordered, rootOf);
  const byPin = new Map<string, Entry[]>();
  for (const pin of ordered) if (isKind(pin, 'pin')) byPin.set(pin.id, groups.get(pin.id) ?? []);
  const waiting = ordered.filter((entry) => {
    const root = roots.get(entry.id);
    // A withdrawal may speak of something else than a note.
    return root === undefined || (isKind(entry, 'reply', 'edit', 'state') && !byPin.has(root));
  });
  return { byPin, waiting };
}

function targetOf(entry: Entry): string | undefined {
  return isKind(entry, 'reply', 'edit', 'state', 'withdraw') ? entry.body.to : undefined;
}

function readNote(history: readonly Entry[], withdrawn: ReadonlySet<string>): Note {
  const pin = history.find((entry) => isKind(entry, 'pin')) as EntryOf<'pin'>;
  const inForce = history.filter((entry) => !withdrawn.has(entry.id));
  const edits = groupBy(
    inForce.filter((entry) => isKind(entry, 'edit')),
    (entry) => entry.body.to,
  );
  const own = edits.get(pin.id) ?? [];
  const stateBy = inForce.findLast((entry) => isKind(entry, 'state'));
  return {
    id: pin.id,
    pin,
    text: lastSaid(own, 'text') ?? pin.body.text,
    about: lastSaid(own, 'about') ?? pin.body.about,
    drawings: lastSaid(own, 'drawings') ?? pin.body.drawings,
    strokes: lastSaid(own, 'strokes') ?? pin.body.strokes,
    on: picturesOf(pin, own),
    edited: own.length > 0,
    withdrawn: withdrawn.has(pin.id),
    state: stateBy?.body.state ?? 'open',
    stateBy,
    replies: history
      .filter((entry) => isKind(entry, 'reply'))
      .map((entry) => ({
        entry,
        text: lastSaid(edits.get(entry.id) ?? [], 'text') ?? entry.body.text,
        withdrawn: withdrawn.has(entry.id),
      })),
    history,
  };
}

/** The first word on a drawing holds: what it was redrawn to since is not what the note speaks of. */
function picturesOf({ body }: EntryOf<'pin'>, edits: readonly EntryOf<'edit'>[]): Note['on'] {
  const on = new Map([[body.drawing, body.image]]);
  for (const said of [body.on, ...edits.map((edit) => edit.body.on)])
    for (const [label, image] of Object.entries(said ?? {})) if (!on.has(label)) on.set(label, image);
  return on;
}

/** The last value given for one field: edits of different fields do not undo each other. */
function lastSaid<F extends 'text' | 'about' | 'drawings' | 'strokes'>(
  edits: readonly EntryOf<'edit'>[],
  field: F,
): EntryOf<'edit'>['body'][F] {
  return edits.findLast((edit) => edit.body[field] !== undefined)?.body[field];
}

/**
 * The last word on each drawing. A newer take says by itself that its drawing is clean: of an approved one, what was
 * approved is the take before. What a shot brought with it says nothing about anybody's work.
 */
function lastDrawingStates(
  ordered: readonly Entry[],
  withdrawn: ReadonlySet<string>,
): Notes['drawingStates'] {
  const last = new Map<string, { state: DrawingState; entry: Entry }>();
  for (const { at, state, entry } of saidStates(ordered, withdrawn))
    last.set(drawingKey(at), { state, entry });
  return last;
}

export interface SaidState {
  readonly at: DrawingRef;
  readonly state: DrawingState;
  readonly entry: Entry;
}

/** Every word on how far a drawing is, in order: said outright, or by a newer take. `ordered` as from `inOrder`. */
export function saidStates(ordered: readonly Entry[], withdrawn: ReadonlySet<string>): SaidState[] {
  const takes = [...takesOf(ordered, withdrawn).values()].flat();
  const newer = new Set(takes.flatMap(({ entry }) => (isOrigin(entry) ? [] : [entry])));
  return ordered.flatMap((entry): SaidState[] => {
    if (withdrawn.has(entry.id)) return [];
    if (isKind(entry, 'drawing state')) return [{ at: entry.body, state: entry.body.state, entry }];
    if (!isKind(entry, 'take') || !newer.has(entry)) return [];
    return [{ at: entry.body, state: 'clean', entry }];
  });
}

function lastDismissals(ordered: readonly Entry[], withdrawn: ReadonlySet<string>): Notes['dismissals'] {
  const last = new Map<string, Dismissal>();
  for (const entry of ordered) {
    if (!isKind(entry, 'dismiss') || withdrawn.has(entry.id)) continue;
    const { finding, lineDigest, reason, undone } = entry.body;
    const key = dismissalKey(entry.body, finding);
    if (undone) last.delete(key);
    else last.set(key, { entry, lineDigest, reason });
  }
  return last;
}
