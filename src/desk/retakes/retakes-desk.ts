/** The retakes of one open shot: what was redrawn, what waits for a look, and which takes lie on the paper. */
import { batch, computed, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import { sentenceOf } from '../../error/sentence.ts';
import type { Box } from '../../line/picture.ts';
import type { NoteState } from '../../note/entry.ts';
import { middleOf } from '../../note/field-place.ts';
import {
  type Item,
  itemOn,
  itemsOf,
  nextWaiting,
  pairOf,
  type TakePair,
  waiting,
} from '../../note/retakes/items.ts';
import {
  type ComparedTakes,
  type Verdict,
  type VerdictSummary,
  verdictAt,
  verdictOf,
} from '../../note/retakes/verdict.ts';
import { measuringShelf } from '../../shelf/kept-measures.ts';
import { drawingKey, drawingOf } from '../../shot/drawing-ref.ts';
import type { ImageRef } from '../../shot/model.ts';
import { bringIntoView } from '../bring-into-view.ts';
import { fixesOf } from '../fixes/fixes-desk.ts';
import type { Way } from '../model.ts';
import { notesOf } from '../notes/notes-desk.ts';
import { placementOfNote, toPaper } from '../notes/place.ts';
import { perSession } from '../per-session.ts';
import type { Session } from '../session.ts';
import { placeKey } from '../spread.ts';
import { comparing, isMade } from './comparing.ts';
import { takesWorker } from './takes-worker.ts';

export interface RetakesDesk {
  readonly items: ReadonlySignal<readonly Item[]>;
  readonly waiting: ReadonlySignal<readonly Item[]>;
  /** The note that is looked at. */
  readonly current: ReadonlySignal<Item | undefined>;
  /** On the paper; undefined where the drawing has but one take. */
  readonly pair: ReadonlySignal<TakePair | undefined>;
  /** Why takes could not be compared: one sentence. */
  readonly trouble: ReadonlySignal<string>;
  verdictOf(noteId: string): VerdictSummary | undefined;
  /** The same for any place, in px of a picture of `sizePx` of the older take. */
  verdictAt(takes: TakePair, box: Box, sizePx: readonly [width: number, height: number]): Verdict;
  /** The older take to lay beneath, of the drawing at hand. */
  choose(take: number): void;
  goTo(item: Item): void;
  /** Goes to the next fixed one; tells whether there is one. */
  goOn(): boolean;
  /** Says it of the current note, and goes on to the next fixed one. */
  decide(state: NoteState): void;
  /** Puts the two takes on the paper in place of clean and rough; returns what takes them off. */
  lay(): () => void;
}

const measures = measuringShelf();

/** The one of a session. */
export const retakesOf = perSession(openRetakes);

function openRetakes(session: Session): RetakesDesk {
  const { ledger, shelf } = session;
  const worker = takesWorker();
  const compare = comparing(shelf, measures, worker);
  const { notes } = ledger;
  const items = computed(() => itemsOf(session.shot.value, notes.value, fixesOf(session).rows.value));
  const chosen = signal<string | undefined>(undefined);
  const current = computed(() => items.value.find(({ note }) => note.id === chosen.value));
  const byHand = signal<{ readonly drawing: string; readonly take: number } | undefined>(undefined);
  const trouble = signal('');
  const changes = signal<ReadonlyMap<string, ComparedTakes | 'not here' | 'failed'>>(new Map());
  /** Older takes laid under the newest, by both. */
  const laid = signal<ReadonlyMap<string, ImageRef>>(new Map());

  const pairFor = (level: string, label: string): TakePair | undefined => {
    const hand = byHand.value;
    const noted = current.value;
    return pairOf(
      drawingOf(session.shot.value, { level, drawing: label }),
      hand?.drawing === drawingKey({ level, drawing: label }) ? hand.take : undefined,
      noted?.level === level ? itemOn(noted, label)?.takes : undefined,
    );
  };
  const pair = computed(() => pairFor(session.model.value.level, session.model.value.drawing));

  /** False for one made here and let go again since. */
  const isAtHand = ({ sha256 }: ImageRef): boolean => !isMade(sha256) || session.made.has(sha256);

  const failed = (error: unknown): void => {
    trouble.value = sentenceOf(error);
  };
  const put = <V>(map: Signal<ReadonlyMap<string, V>>, key: string, value: V): void => {
    map.value = new Map(map.peek()).set(key, value);
  };

  /** One pair after the other: comparing takes as long as a drawing has pixels. */
  let queue: Promise<void> = Promise.resolve();
  const asked = new Set<string>();
  function ask(takes: TakePair): void {
    const id = idOf(takes);
    if (asked.has(id)) return;
    asked.add(id);
    queue = queue
      // A desk that was left has nobody to tell, and a long list would go on for minutes.
      .then(() => session.left.throwIfAborted())
      .then(() => compare.change(takes.older.image, takes.newer.image))
      .then(
        (found) => put(changes, id, found ?? 'not here'),
        (error: unknown) => {
          if (session.left.aborted) return;
          failed(error);
          put(changes, id, 'failed');
        },
      );
  }
  // What was missing may have come with this change of the shot; what failed is worth another try.
  effect(() => {
    void ledger.shot.value;
    const known = [...changes.peek()].filter(([, change]) => typeof change !== 'string');
    if (known.length === changes.peek().size) return;
    trouble.value = '';
    for (const id of changes.peek().keys()) asked.delete(id);
    changes.value = new Map(known);
  });

  const desk: RetakesDesk = {
    items,
    waiting: computed(() => waiting(items.value)),
    current,
    pair,
    trouble,
    verdictOf(noteId) {
      const item = items.value.find(({ note }) => note.id === noteId);
      if (!item) return undefined;
      const { box, sizePx } = item.row;
      return verdictOf(item, (takes) => desk.verdictAt(takes, box, sizePx));
    },
    verdictAt(takes, box, sizePx) {
      const change = changes.value.get(idOf(takes));
      if (change === undefined) {
        ask(takes);
        return 'looking';
      }
      if (change === 'failed') return 'not compared';
      return change === 'not here' ? 'not to be told' : verdictAt(change, box, sizePx);
    },
    choose(take) {
      const { level, drawing } = session.model.peek();
      byHand.value = { drawing: drawingKey({ level, drawing }), take };
    },
    goTo(item) {
      batch(() => {
        notesOf(session).goTo(item.note);
        chosen.value = item.note.id;
        byHand.value = undefined;
        if (item.takes) session.act({ do: 'way', way: 'clean' });
      });
      const { level, image = '', sizePx, box } = item.row;
      const placement = placementOfNote(session.shot.peek(), { level, image, sizePx }, item.drawing);
      bringIntoView(session, toPaper(placement, middleOf(box)), Math.max(box[2], box[3]) / 2);
    },
    goOn() {
      const next = nextWaiting(items.peek(), chosen.peek());
      if (next) desk.goTo(next);
      return next !== undefined;
    },
    decide(state) {
      const item = current.peek();
      if (!item) return;
      const says = `Note on ${item.drawing}: ${state}`;
      if (session.say(says, [{ kind: 'state', to: item.note.id, state }])) desk.goOn();
    },
    lay() {
      const before = session.model.peek().way;
      session.act({ do: 'way', way: 'clean' });
      session.laid.value = {
        spread(shot, model) {
          if (model.motion !== 'still') return undefined;
          const takes = pairFor(model.level, model.drawing);
          if (!takes || !drawingOf(shot, model)) return undefined;
          const under = laid.value.get(idOf(takes));
          const older = under && isAtHand(under) ? under : takes.older.image;
          return { key: placeKey(model), clean: [takes.newer.image], rough: [older], ghosts: [] };
        },
        flip(steps) {
          if (!pair.peek()) return false;
          session.act({ do: 'way', way: steps > 0 ? 'clean' : 'rough' });
          return true;
        },
        words(way) {
          const takes = pair.value;
          return takes && wordsOf(takes)[way];
        },
      };
      const laying = new Set<string>();
      const stopLaying = effect(() => {
        const takes = pair.value;
        const id = takes && idOf(takes);
        // Read, so that one which was let go for another's sake (few are kept) is laid again.
        const under = laid.value.get(id ?? '');
        if (!takes || !id || laying.has(id) || (under && isAtHand(under))) return;
        laying.add(id);
        compare
          .lay(takes.older.image, takes.newer.image, session.made)
          .finally(() => laying.delete(id))
          .then((image) => put(laid, id, image), failed);
      });
      return () => {
        stopLaying();
        session.laid.value = undefined;
        // Some 12 MB each, of use to nobody else.
        session.made.clear();
        laid.value = new Map();
        session.strip.value = undefined;
        session.act({ do: 'way', way: before });
      };
    },
  };
  return desk;
}

const idOf = ({ older, newer }: TakePair): string => `${older.image.sha256} ${newer.image.sha256}`;

const wordsOf = ({ older, newer }: TakePair): Readonly<Record<Way, string>> => ({
  clean: `Take ${newer.number}`,
  rough: `Take ${older.number}`,
  underlay: `Take ${older.number} under take ${newer.number}`,
  'side by side': `Take ${older.number} beside take ${newer.number}`,
  wipe: `Take ${older.number} wiped by take ${newer.number}`,
  difference: `Difference between takes ${older.number} and ${newer.number}`,
});
