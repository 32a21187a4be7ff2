/**
 * One shot on the desk: what the screens read (signals) and what they may ask for (functions). Longer than most
 * files: a third is the interface, and what may be asked for shares the state that a split would have to hand about.
 */
import { batch, computed, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import type { Picture } from '../line/picture.ts';
import type { Body } from '../note/entry.ts';
import type { Answer } from '../note/may.ts';
import type { Shelf } from '../shelf/types.ts';
import type { Shot } from '../shot/model.ts';
import type { Camera, Quality, Spread, Stage, StageEvents } from '../stage/types.ts';
import type { Clock } from './clock.ts';
import type { Edit } from './edits.ts';
import { holdGate } from './hold-gate.ts';
import { inHaste } from './in-haste.ts';
import { fromKept, type Kept, toKeep } from './keep.ts';
import { type Ledger, openLedger } from './ledger.ts';
import { type Act, act, compareOf, type DeskModel, type Way } from './model.ts';
import { type Caution, startMotion } from './motion-run.ts';
import { penButton } from './quick-flip.ts';
import { imagesOfShot, type Place, placeOf, spreadOf, spreadsAhead } from './spread.ts';
import { person } from './table.ts';
import { paperBudgetBytes } from './visit.ts';

/** What is truly on the paper. Screens write numbers from this and from nothing else. */
export interface OnPaper extends Place {
  readonly quality: Quality;
  readonly complete: boolean;
}

export interface Notice {
  readonly says: string;
  readonly action?: { readonly label: string; readonly run: () => void };
}

/** What is being made and not said yet: its own steps are undone before those of the shot. */
export interface InHand {
  /** Each false when there is no such step. */
  readonly canUndo: ReadonlySignal<boolean>;
  readonly canRedo: ReadonlySignal<boolean>;
  undo(): void;
  redo(): void;
  /** Takes a key that was typed straight after a stroke as words; false when no words are waited for. */
  type(letter: string): boolean;
}

/** What the pen does on the paper: notes draw, the paint test asks. See `takePen`. */
export interface PenHand {
  pen: StageEvents['pen'];
  hover: StageEvents['penHover'];
  tap: StageEvents['tap'];
}

/** Lies on the paper in place of the drawings' own clean and rough, such as two takes of one. */
export interface Laid {
  /** Undefined: the drawing lies as always. May read signals. */
  spread(shot: Shot, model: DeskModel): Spread | undefined;
  /** A finger flips across the paper; false leaves it to the drawings. */
  flip(steps: number): boolean;
  /** What is looked at, where it is not clean and rough. */
  words(way: Way): string | undefined;
}

export interface Saying {
  /** Of the entries, made before: saying it twice is then saying it once. */
  readonly ids?: readonly string[];
  readonly refused?: (reason: string) => void;
}

export interface Session {
  readonly shelf: Shelf;
  readonly clock: Clock;
  readonly ledger: Ledger;
  readonly shot: ReadonlySignal<Shot>;
  readonly model: ReadonlySignal<DeskModel>;
  readonly onPaper: ReadonlySignal<OnPaper | undefined>;
  readonly camera: ReadonlySignal<Camera | undefined>;
  readonly stage: ReadonlySignal<Stage | undefined>;
  /** The paper went away for a moment (the tablet took its graphics back). */
  readonly paperLost: ReadonlySignal<boolean>;
  readonly notice: Signal<Notice | undefined>;
  readonly caution: ReadonlySignal<Caution | undefined>;
  /** The side panel that stands open, by id. */
  readonly panel: Signal<string | undefined>;
  /** What each list of the desk shows; see `kept-filter.ts`. */
  readonly lists: Signal<Kept['lists']>;
  /** The strip of settings that stands open over the pegs, by id. */
  readonly strip: Signal<string | undefined>;
  readonly helpOpen: Signal<boolean>;
  /** A hand is on the paper: tools recede. */
  readonly working: Signal<boolean>;
  /** The place on the desk is written down: a reload comes back to it. */
  readonly placeKept: ReadonlySignal<boolean>;
  readonly inHand: Signal<InHand | undefined>;
  readonly laid: Signal<Laid | undefined>;
  /** Pictures made here and kept nowhere, by the `sha256` of the image that stands for them: in flip size. */
  readonly made: Map<string, Picture>;
  /** Takes files in as newer takes of this shot; leaves the desk. */
  readonly takeIn: Signal<((files: readonly File[]) => void) | undefined>;
  readonly canUndo: ReadonlySignal<boolean>;
  readonly canRedo: ReadonlySignal<boolean>;
  act(what: Act): void;
  /** Undefined (nothing changed) is let pass, so that callers need not ask. A refusal is told as a notice. */
  edit(edit: Edit | undefined): void;
  /**
   * Adds entries whose undo withdraws them; see `Ledger.say`. False when the person may not: `refused` is given the
   * sentence, which is a notice otherwise.
   */
  say(says: string, bodies: readonly Body[], how?: Saying): boolean;
  /** Writes something down with what else is kept when the page goes away. Returns what ends it. */
  alsoFlush(write: () => Promise<void>): () => void;
  readonly undo: () => void;
  readonly redo: () => void;
  /** Gives the pen to `hand`, before those that have it. Returns what lets go, in whatever order they do. */
  takePen(hand: PenHand): () => void;
  start(motion: 'play' | 'roll'): void;
  halt(): void;
  /** Press and hold for the other layer. */
  hold(down: boolean): void;
  moveCamera(change: (camera: Camera) => Camera): void;
  fit(): void;
  readonly stageEvents: StageEvents;
  /** Decoded pictures that the stage may hold. */
  readonly budgetBytes: number;
  attach(stage: Stage): () => void;
  /** Aborted when the desk is left: what goes on beside the page has nobody to tell. */
  readonly left: AbortSignal;
  /** Writes what waits; resolves when it is kept. */
  flush(): Promise<void>;
  close(): Promise<void>;
}

/** Between the last change of the desk and its keeping. */
const keepAfterMs = 400;

export async function openSession(shelf: Shelf, clock: Clock, shotId: string): Promise<Session | undefined> {
  const start = await shelf.shot(shotId);
  if (!start) return undefined;
  const [entries, lacking, keptState, budgetBytes] = await Promise.all([
    shelf.entries(shotId),
    shelf.lacking(shotId),
    shelf.deskState(shotId),
    paperBudgetBytes(clock.newId),
  ]);
  const haste = inHaste(`desk:${shotId}`);
  // A shot that was taken off the shelf takes its desk along; what was put in haste must not outlive it.
  const kept = fromKept(start, keptState && (haste.read() ?? keptState));
  const ledger = openLedger({
    shelf,
    clock,
    person: () => person.value,
    start,
    lacking,
    entries,
    history: kept.history,
  });

  const model = signal(kept.model);
  const onPaper = signal<OnPaper | undefined>(undefined);
  const camera = signal(kept.camera);
  const stage = signal<Stage | undefined>(undefined);
  const paperLost = signal(false);
  const notice = signal<Notice | undefined>(undefined);
  const caution = signal<Caution | undefined>(undefined);
  const panel = signal(kept.panel);
  const lists = signal(kept.lists);
  const strip = signal<string | undefined>(undefined);
  const helpOpen = signal(false);
  const working = signal(false);
  /** The last one holds the pen; it falls back to the one before. */
  const penHands: PenHand[] = [];
  const penHand = (): PenHand | undefined => penHands.at(-1);
  const inHand = signal<InHand | undefined>(undefined);
  const laid = signal<Laid | undefined>(undefined);
  const flushing = new Set<() => Promise<void>>();
  const leaving = new AbortController();
  const placeKept = signal(true);
  /** The whole paper is in view, and stays so when the screen turns. */
  let { fitted } = kept;
  let stopMotion: (() => void) | undefined;

  const spread = computed(
    () => laid.value?.spread(ledger.shot.value, model.value) ?? spreadOf(ledger.shot.value, model.value),
  );
  const compare = computed(() => compareOf(model.value));

  function doAct(what: Act): void {
    model.value = act(ledger.shot.peek(), model.peek(), what);
  }

  function halt(): void {
    stopMotion?.();
    stopMotion = undefined;
    if (model.peek().motion !== 'still') doAct({ do: 'motion', motion: 'still' });
  }

  function tell(answer: Answer, says: string, action: NonNullable<Notice['action']>): void {
    notice.value = answer.may ? { says, action } : { says: answer.reason };
  }

  /** A hand that flips or looks something up stops what runs by itself. */
  const stopping = new Set<Act['do']>(['step', 'end', 'drawing', 'frame', 'level', 'set', 'pick', 'let go']);

  /** Changes what a motion shows, so that it must be looked at anew before it goes on. */
  const checkedAgain = new Set<Act['do']>([
    'way',
    'underlay',
    'wipe',
    'together',
    'roll rate',
    'part',
    'pace',
  ]);

  const session: Session = {
    shelf,
    clock,
    ledger,
    shot: ledger.shot,
    model,
    onPaper,
    camera,
    stage,
    paperLost,
    notice,
    caution,
    panel,
    lists,
    strip,
    helpOpen,
    working,
    placeKept,
    inHand,
    laid,
    made: new Map(),
    takeIn: signal(undefined),
    canUndo: computed(() => inHand.value?.canUndo.value === true || ledger.history.value.done.length > 0),
    canRedo: computed(() => inHand.value?.canRedo.value === true || ledger.history.value.undone.length > 0),
    act(what) {
      if (stopping.has(what.do)) halt();
      const { motion } = model.peek();
      doAct(what);
      if (motion !== 'still' && checkedAgain.has(what.do)) session.start(motion);
    },
    edit(edit) {
      if (!edit) return;
      halt();
      tell(ledger.edit(edit), edit.says, { label: 'Undo', run: session.undo });
    },
    say(says, bodies, { ids, refused } = {}) {
      halt();
      const answer = ledger.say(says, bodies, ids);
      if (!answer.may && refused) refused(answer.reason);
      else tell(answer, says, { label: 'Undo', run: session.undo });
      return answer.may;
    },
    alsoFlush(write) {
      flushing.add(write);
      return () => flushing.delete(write);
    },
    takePen(hand) {
      penHands.push(hand);
      return () => {
        const at = penHands.lastIndexOf(hand);
        if (at >= 0) penHands.splice(at, 1);
      };
    },
    undo() {
      const hand = inHand.peek();
      if (hand?.canUndo.peek()) return hand.undo();
      const undone = ledger.undo();
      if (undone) tell(undone.answer, `Undone: ${undone.edit.says}`, { label: 'Redo', run: session.redo });
    },
    redo() {
      const hand = inHand.peek();
      if (hand?.canRedo.peek()) return hand.redo();
      const done = ledger.redo();
      if (done) tell(done.answer, done.edit.says, { label: 'Undo', run: session.undo });
    },
    start(motion) {
      halt();
      stopMotion = startMotion(session, motion, {
        begin: (begun) => {
          model.value = begun;
        },
        show: (next) => {
          model.value = next;
        },
        over: halt,
        caution: (value) => {
          caution.value = value;
        },
      });
    },
    halt,
    hold: holdGate(clock, (shown) => doAct({ do: 'other', shown })),
    moveCamera(change) {
      const held = stage.peek();
      if (held) held.moveTo(change(held.camera()));
    },
    fit() {
      stage.peek()?.fit();
    },
    budgetBytes,
    stageEvents: {
      shown({ key, quality, complete }) {
        onPaper.value = { ...placeOf(key), quality, complete };
      },
      camera(moved, whole) {
        // What a stage tells while it is being laid is its own start, not where this desk was left.
        if (!stage.peek()) return;
        fitted = whole;
        camera.value = moved;
      },
      flip(steps) {
        if (!laid.peek()?.flip(steps)) session.act({ do: 'step', by: steps });
      },
      hold(down) {
        session.hold(down);
      },
      tap(paper) {
        penHand()?.tap(paper);
      },
      wipe(at) {
        session.act({ do: 'wipe', at });
      },
      pen(phase, points, predicted, end) {
        penHand()?.pen(phase, points, predicted, end);
      },
      penButton(down) {
        penButton(session, down);
      },
      penHover(paper) {
        penHand()?.hover(paper);
      },
      lost(state) {
        paperLost.value = state === 'lost';
      },
    },
    attach(paper) {
      const [left, whole] = [camera.peek(), fitted];
      let told = ledger.shot.peek().sizePx;
      paper.setPaperSize(told);
      batch(() => {
        stage.value = paper;
        if (left) paper.moveTo(left);
        if (whole) paper.fit();
      });
      const stops = [
        // Newer takes may come while the desk stands, larger ones too.
        effect(() => {
          const shot = ledger.shot.value;
          paper.keepThumbs(imagesOfShot(shot));
          if (shot.sizePx.every((edge, n) => edge === told[n])) return;
          told = shot.sizePx;
          paper.setPaperSize(told);
        }),
        effect(() => paper.compare(compare.value)),
        effect(() => paper.show(spread.value)),
        effect(() => paper.ahead(spreadsAhead(ledger.shot.value, model.value))),
      ];
      return () => {
        for (const stop of stops) stop();
        stage.value = undefined;
      };
    },
    async flush() {
      if (!placeKept.peek()) haste.put(stateNow());
      ledger.putInHaste();
      await Promise.all([keepNow(), ledger.flush(), ...[...flushing].map((write) => write())]);
    },
    left: leaving.signal,
    async close() {
      halt();
      leaving.abort();
      stopKeeping();
      cancelKeep?.();
      ledger.close();
      await session.flush();
    },
  };

  let cancelKeep: (() => void) | undefined;
  let changes = 0;
  const stateNow = () =>
    toKeep({
      model: model.peek(),
      camera: camera.peek(),
      fitted,
      history: ledger.history.peek(),
      panel: panel.peek(),
      lists: lists.peek(),
    });
  async function keepNow(): Promise<void> {
    const seen = changes;
    // The place is convenience: that it could not be kept is told by the shelf's health, not here.
    const kept = await shelf.keepDeskState(shotId, stateNow()).then(
      () => true,
      () => false,
    );
    if (changes !== seen) return;
    placeKept.value = true;
    if (kept) haste.drop();
  }
  let keptHistory = ledger.history.peek();
  const stopKeeping = effect(() => {
    // Read, so that each of them being set comes here.
    void [model.value, camera.value, panel.value, lists.value];
    const history = ledger.history.value;
    changes += 1;
    placeKept.value = false;
    cancelKeep?.();
    // An edit is kept at once, and so is the way to undo it.
    if (history === keptHistory) cancelKeep = clock.after(keepAfterMs, () => void keepNow());
    else void keepNow();
    keptHistory = history;
  });

  return session;
}
