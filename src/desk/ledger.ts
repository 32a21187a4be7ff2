/**
 * The shot with everyone's entries, and the writing of new ones. An edit is seen at once and kept at once;
 * one that cannot be kept stays here, and is tried again until it is.
 */
import { computed, type ReadonlySignal, signal, untracked } from '@preact/signals';
import { sentenceOf } from '../error/sentence.ts';
import { latestStamp, tick } from '../note/clock.ts';
import type { Body, Entry, Person, Stamp } from '../note/entry.ts';
import { type Answer, may } from '../note/may.ts';
import { mergeNotes, type Notes } from '../note/merge.ts';
import { makesShot, shotOf, withoutPictures } from '../note/shot-of.ts';
import { union } from '../note/union.ts';
import type { Shelf } from '../shelf/types.ts';
import type { ImageRef, Shot } from '../shot/model.ts';
import type { Clock } from './clock.ts';
import { type Edit, reversed } from './edits.ts';
import { entriesInHaste } from './entries-in-haste.ts';
import { afterRedo, afterUndo, type History, withEdit } from './history.ts';

export type Saved = 'saved' | 'saving' | 'not saved';

export interface Ledger {
  readonly shot: ReadonlySignal<Shot>;
  readonly entries: ReadonlySignal<readonly Entry[]>;
  /** What the entries say of notes, findings and drawings; merged once for all who read it. */
  readonly notes: ReadonlySignal<Notes>;
  readonly history: ReadonlySignal<History>;
  readonly saved: ReadonlySignal<Saved>;
  /** Entries that this tablet could not keep yet. */
  readonly waiting: ReadonlySignal<readonly Entry[]>;
  /** Why the last write failed: one sentence. */
  readonly trouble: ReadonlySignal<string>;
  /** Whether the person at this tablet may write that. Read in an effect, it follows person and entries. */
  may(body: Body): Answer;
  /** This and what follows write all of it or, when the person may not write some of it, nothing. */
  edit(edit: Edit): Answer;
  /** Adds entries without an undo step. `ids`: made before, where saying it twice must be saying it once. */
  write(bodies: readonly Body[], ids?: readonly string[]): Answer;
  /** Adds entries whose undo withdraws them, and whose redo brings them back. */
  say(says: string, bodies: readonly Body[], ids?: readonly string[]): Answer;
  /** Undefined when there is nothing to undo. A refused one stays to be undone. */
  undo(): Turned | undefined;
  redo(): Turned | undefined;
  /** Tries at once to keep what waits, as it is by itself in time; resolves when it is kept or has failed again. */
  flush(): Promise<void>;
  /** Writes what waits where a page that goes away can: the next to open the shot keeps it. */
  readonly putInHaste: () => void;
  close(): void;
}

export interface Turned {
  readonly edit: Edit;
  readonly answer: Answer;
}

export interface LedgerStart {
  readonly shelf: Shelf;
  readonly clock: Clock;
  readonly person: () => Person;
  /** As the shelf shows it. */
  readonly start: Shot;
  /** Its pictures that are not on this tablet. */
  readonly lacking: readonly ImageRef[];
  readonly entries: readonly Entry[];
  readonly history: History;
}

/** How soon a failed write is tried again: doubling from the first to the last. */
const RETRY_MS = { first: 2000, last: 60_000 } as const;

export function openLedger({ shelf, clock, person, start, lacking, entries, history }: LedgerStart): Ledger {
  const lackingSignal = signal(lacking);
  const keptSignal = signal(entries);
  const haste = entriesInHaste(start.id);
  const known = new Set(entries.map(({ id }) => id));
  const waiting = signal<readonly Entry[]>(haste.read().filter(({ id }) => !known.has(id)));
  const historySignal = signal(history);
  const trouble = signal('');
  const writing = signal(0);
  const all = computed(() => union(keptSignal.value, waiting.value));
  /** Another set only when something is said of the shot itself, so that a note does not make it anew. */
  const paper = computed<readonly Entry[]>((): readonly Entry[] => {
    const now = all.value.filter(makesShot);
    const before = paperBefore;
    const isSame = now.length === before.length && now.every((entry, n) => entry === before[n]);
    paperBefore = isSame ? before : now;
    return paperBefore;
  });
  let paperBefore: readonly Entry[] = [];
  const whole = computed(() => shotOf(start.id, paper.value) ?? start);
  const shot = computed(() =>
    withoutPictures(whole.value, new Set(lackingSignal.value.map(({ sha256 }) => sha256))),
  );
  const saved = computed<Saved>(() =>
    trouble.value ? 'not saved' : writing.value > 0 || waiting.value.length > 0 ? 'saving' : 'saved',
  );
  let stamp: Stamp = latestStamp([...entries, ...waiting.peek()].map((entry) => entry.stamp));

  const stopWatching = shelf.onChange((change) => {
    if (change.kind !== 'values' && (change.shotId ?? start.id) === start.id) void reread();
  });

  async function reread(): Promise<void> {
    try {
      const [stillLacking, fresh] = await Promise.all([shelf.lacking(start.id), shelf.entries(start.id)]);
      if (!sameImages(stillLacking, lackingSignal.value)) lackingSignal.value = stillLacking;
      keptSignal.value = withFresh(keptSignal.peek(), fresh);
      stamp = latestStamp([stamp, ...fresh.map((entry) => entry.stamp)]);
    } catch (error) {
      trouble.value = sentenceOf(error, notSaved);
    }
  }

  const byId = computed(() => new Map(all.value.map((entry) => [entry.id, entry])));
  const mayWrite = (body: Body): Answer => may(person(), body, (id) => byId.value.get(id));
  /** Rights are asked here, where it is written: a button that was offered too long, a key, an undo ask nobody. */
  function judge(bodies: readonly Body[]): Answer {
    return untracked(() => bodies.map(mayWrite).find((answer) => !answer.may) ?? { may: true });
  }

  function add(bodies: readonly Body[], ids: readonly string[] = []): readonly Entry[] {
    const writer = { ...person() };
    const saidAt = Math.max(0, Math.floor(clock.wallMs()));
    const made = bodies.map((body, index): Entry => {
      stamp = tick(stamp, clock.wallMs());
      return { v: 1, id: ids[index] ?? clock.newId(), shot: start.id, writer, stamp, saidMs: saidAt, body };
    });
    waiting.value = [...waiting.value, ...made];
    void flush();
    return made;
  }

  /** Withdraws what an edit said; the edit then stands for the withdrawals. */
  function turned(edit: Edit): Edit {
    if (!edit.said) return edit;
    return { ...edit, said: add(withdrawals(edit)).map(({ id }) => id) };
  }

  /** What undoing or redoing an edit would write, `edit` being what is applied then. */
  function turn(last: Edit, edit: Edit, after: typeof afterUndo): Turned {
    const answer = judge([...edit.bodies, ...withdrawals(last)]);
    if (answer.may) {
      historySignal.value = after(historySignal.value, turned(last));
      apply(edit);
    }
    return { edit: last, answer };
  }

  function apply(edit: Edit): void {
    if (edit.bodies.length > 0) add(edit.bodies);
    else void flush();
  }

  /** One write at a time, in order; what was added meanwhile goes with the next. */
  let queue: Promise<void> = Promise.resolve();
  function flush(): Promise<void> {
    queue = queue.then(flushOnce);
    return queue;
  }

  let retryMs: number = RETRY_MS.first;
  let cancelRetry: (() => void) | undefined;
  /** Goes on after the desk is closed, too: what waits has no other place. */
  function retryLater(): void {
    cancelRetry?.();
    cancelRetry = clock.after(retryMs, () => void flush());
    retryMs = Math.min(2 * retryMs, RETRY_MS.last);
  }

  async function flushOnce(): Promise<void> {
    const batch = waiting.value;
    if (batch.length === 0) return;
    writing.value += 1;
    try {
      await shelf.addEntries(batch, 'here');
      haste.drop(batch);
      keptSignal.value = union(keptSignal.value, batch);
      waiting.value = waiting.value.filter((entry) => !batch.includes(entry));
      trouble.value = '';
      retryMs = RETRY_MS.first;
      cancelRetry?.();
    } catch (error) {
      trouble.value = sentenceOf(error, notSaved);
      retryLater();
    } finally {
      writing.value -= 1;
    }
  }

  if (waiting.peek().length > 0) void flush();
  else haste.drop(entries);

  return {
    shot,
    entries: all,
    notes: computed(() => mergeNotes(all.value)),
    history: historySignal,
    saved,
    waiting,
    trouble,
    may: mayWrite,
    write(bodies, ids) {
      const answer = judge(bodies);
      if (answer.may) add(bodies, ids);
      return answer;
    },
    flush,
    putInHaste: () => haste.add(waiting.peek()),
    say(says, bodies, ids) {
      const answer = judge(bodies);
      if (!answer.may) return answer;
      const said = add(bodies, ids).map(({ id }) => id);
      historySignal.value = withEdit(historySignal.value, { says, bodies: [], back: [], said });
      return answer;
    },
    edit(edit) {
      const answer = judge(edit.bodies);
      if (!answer.may) return answer;
      historySignal.value = withEdit(historySignal.value, edit);
      apply(edit);
      return answer;
    },
    undo() {
      const last = historySignal.value.done.at(-1);
      return last && turn(last, reversed(last), afterUndo);
    },
    redo() {
      const next = historySignal.value.undone.at(-1);
      return next && turn(next, next, afterRedo);
    },
    close: stopWatching,
  };
}

const withdrawals = ({ said = [] }: Edit): Body[] => said.map((to) => ({ kind: 'withdraw', to }));

const notSaved = 'This tablet could not save your last edits; they are still on this screen.';

/** The same array where nothing came, so that nothing is merged, measured or drawn anew. */
function withFresh(kept: readonly Entry[], fresh: readonly Entry[]): readonly Entry[] {
  const joined = union(kept, fresh);
  return joined.length === kept.length && joined.every((entry, n) => entry === kept[n]) ? kept : joined;
}

function sameImages(some: readonly ImageRef[], others: readonly ImageRef[]): boolean {
  return some.length === others.length && some.every(({ sha256 }, n) => sha256 === others[n]?.sha256);
}
