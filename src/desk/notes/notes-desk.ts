/**
 * The notes of one open shot: what is pinned, what is in the works, and what the hand holds. A little longer than most
 * files: a sixth is the interface, and all that may be asked for changes the same draft.
 */
import {
  batch,
  computed,
  effect,
  type ReadonlySignal,
  type Signal,
  signal,
  untracked,
} from '@preact/signals';
import type { Body, NoteState, Stroke } from '../../note/entry.ts';
import type { Note } from '../../note/merge.ts';
import { drawingLabelled, levelNamed } from '../../shot/drawing-ref.ts';
import { labelsInScreenOrder } from '../../shot/exposures.ts';
import { cleanOf } from '../../shot/takes.ts';
import { keptFilter } from '../kept-filter.ts';
import type { Session } from '../session.ts';

import {
  bodyOf,
  type Draft,
  draftOf,
  holdsSomething,
  redoStep,
  rubbed,
  undoStep,
  withStroke,
} from './draft.ts';
import { type InWorks, keepWorks, keptWorks, nothing } from './draft-keep.ts';
import { type Filter, filterSchema, listed, noFilter } from './listing.ts';
import { fromPaper, pictureOf, placementOfNote } from './place.ts';

export type Tool = Stroke['colour'] | 'rubber';

export interface NotesDesk {
  readonly notes: ReadonlySignal<readonly Note[]>;
  readonly shown: ReadonlySignal<readonly Note[]>;
  readonly draft: ReadonlySignal<Draft | undefined>;
  readonly answers: ReadonlySignal<InWorks['answers']>;
  /** False when the draft could not be written down. */
  readonly kept: ReadonlySignal<boolean>;
  readonly tool: Signal<Tool>;
  readonly fingers: Signal<boolean>;
  /** Neighbours' notes show through. */
  readonly through: Signal<boolean>;
  readonly filter: Signal<Filter>;
  /** The words are asked for: whoever shows the draft puts the caret there, and sets this back. */
  readonly writing: Signal<boolean>;
  readonly chosen: Signal<string | undefined>;
  /** Why the last thing asked for was not done: one sentence. */
  readonly refusal: ReadonlySignal<string>;
  /** Labels of the draft's or note's level, as they come on screen. */
  order(level: string): readonly string[];
  /** The draft to draw into on a drawing, begun when there is none; undefined where nothing can be pinned. */
  begin(level: string, drawing: string): Draft | undefined;
  /** The same, pinned at a point of the paper when it is new. */
  beginAt(
    here: { level: string; drawing: string },
    paper: readonly [number, number] | undefined,
  ): Draft | undefined;
  /** Adds a stroke, in px of the draft's picture. */
  ink(stroke: Stroke): void;
  rub(path: readonly number[], radiusPx: number): void;
  write(change: Partial<Pick<Draft, 'text' | 'about' | 'drawings' | 'at'>>): void;
  /** Says what is in the works. */
  readonly pin: () => void;
  /** Puts the draft away; the notice brings it back. */
  readonly throwAway: () => void;
  change(note: Note): void;
  answerText(note: string, text: string): void;
  answer(note: Note): void;
  setState(note: Note, state: NoteState): void;
  withdraw(id: string, says: string): void;
  allowed(body: Body): boolean;
  /** Puts the note's drawing on the paper. */
  goTo(note: Note): void;
  step(by: 1 | -1): void;
  close(): void;
}

const desks = new WeakMap<Session, NotesDesk>();

/** The one of a session, opened when first asked for. */
export function notesOf(session: Session): NotesDesk {
  const known = desks.get(session);
  if (known) return known;
  const made = openNotes(session);
  desks.set(session, made);
  return made;
}

function openNotes(session: Session): NotesDesk {
  const { ledger, clock, shelf } = session;
  const shotId = session.shot.peek().id;
  const merged = computed(() => ledger.notes.value.notes);
  const byId = computed(() => new Map(merged.value.map((note) => [note.id, note])));
  const works = signal<InWorks>(nothing);
  const draft = computed(() => works.value.draft);
  const kept = signal(true);
  const refusal = signal('');
  const tool = signal<Tool>('red');
  const fingers = signal(false);
  const through = signal(false);
  const filter = keptFilter(session, 'notes', filterSchema, noFilter);
  const writing = signal(false);
  /** A stroke was made and nothing was done since: what is typed now are the note's words. */
  let afterStroke = false;
  const chosen = signal<string | undefined>(undefined);
  const keeper = keepWorks(shelf, shotId, (worked) => {
    kept.value = worked;
  });

  const isSaid = (id: string): boolean => ledger.entries.peek().some((entry) => entry.id === id);

  function set(next: InWorks): void {
    works.value = next;
    keeper.keep(next);
  }
  const setDraft = (next: Draft | undefined): void => set({ ...works.peek(), draft: next });

  /** Forgotten on the shelf only when what it became is kept there: a crash between finds one of the two. */
  function forgetDraft(): void {
    works.value = { ...works.peek(), draft: undefined };
    void ledger.flush().then(() => {
      if (ledger.saved.peek() !== 'not saved') keeper.keep(works.peek());
    });
  }

  void keptWorks(shelf, shotId).then(
    (found) => {
      const { draft: left } = found;
      const unsaid = left && !isSaid(left.id) ? left : undefined;
      const now = works.peek();
      // The hand was faster than the shelf: what was left in the works is pinned rather than lost.
      if (now.draft && unsaid && holdsSomething(unsaid)) say(unsaid);
      works.value = { draft: now.draft ?? unsaid, answers: { ...found.answers, ...now.answers } };
      // What was written down in haste is from now on kept as everything is.
      if (unsaid) keeper.keep(works.peek());
    },
    () => {
      kept.value = false;
    },
  );

  /** A refusal is told where it was asked. */
  function ask(says: string, bodies: readonly Body[], ids?: readonly string[]): boolean {
    refusal.value = '';
    return session.say(says, bodies, {
      ...(ids && { ids }),
      refused: (reason) => {
        refusal.value = reason;
      },
    });
  }

  function say(said: Draft): boolean {
    const level = levelNamed(session.shot.peek(), said.level);
    const body = bodyOf(said, said.to === undefined ? undefined : byId.peek().get(said.to), (label) => {
      const drawing = drawingLabelled(level, label);
      return drawing && cleanOf(drawing)?.sha256;
    });
    if (!body) return true;
    const words = said.to === undefined ? `Pinned on ${said.drawing}` : `Note on ${said.drawing} changed`;
    return ask(words, [body], [said.id]);
  }

  const order = (level: string): readonly string[] => {
    const found = levelNamed(session.shot.value, level);
    return found ? labelsInScreenOrder(found) : [];
  };

  const desk: NotesDesk = {
    notes: merged,
    shown: computed(() => listed(session.shot.value, merged.value, filter.value)),
    draft,
    answers: computed(() => works.value.answers),
    kept,
    tool,
    fingers,
    through,
    filter,
    writing,
    chosen,
    refusal,
    order,
    begin(level, drawing) {
      const now = draft.peek();
      if (now && now.level === level && now.drawings.includes(drawing)) return now;
      // A hand that draws on another drawing is done with the last one.
      if (now) desk.pin();
      if (draft.peek()) return undefined;
      const { way, other } = session.model.peek();
      const image = pictureOf(session.shot.peek(), level, drawing, (way === 'rough') !== other);
      if (!image) {
        session.notice.value = { says: `There is no picture of ${drawing} yet to pin a note on.` };
        return undefined;
      }
      session.strip.value = undefined;
      const begun: Draft = {
        id: clock.newId(),
        level,
        drawing,
        drawings: [drawing],
        image: image.sha256,
        sizePx: [image.width, image.height],
        base: [],
        steps: [],
        undone: [],
        about: 'line',
        text: '',
      };
      batch(() => {
        chosen.value = undefined;
        setDraft(begun);
      });
      return begun;
    },
    beginAt({ level, drawing }, paper) {
      const begun = desk.begin(level, drawing);
      if (!begun || begun.at || !paper) return begun;
      desk.write({ at: fromPaper(placementOfNote(session.shot.peek(), begun, drawing), paper) });
      return draft.peek();
    },
    ink(stroke) {
      const now = draft.peek();
      if (!now) return;
      afterStroke = true;
      const next = withStroke(now, stroke);
      if (next) return setDraft(next);
      // Full: the stroke begins a second note on the same drawing.
      desk.pin();
      const second = desk.begin(now.level, now.drawing);
      const begun = second && withStroke(second, stroke);
      if (begun) setDraft(begun);
    },
    rub(path, radiusPx) {
      const now = draft.peek();
      const next = now && rubbed(now, path, radiusPx);
      if (next !== now) setDraft(next);
    },
    write(change) {
      const now = draft.peek();
      if (now) setDraft({ ...now, ...change });
    },
    pin() {
      const now = draft.peek();
      if (!now || !(holdsSomething(now) || now.to) || say(now)) forgetDraft();
    },
    throwAway() {
      const now = draft.peek();
      setDraft(undefined);
      if (now && holdsSomething(now))
        session.notice.value = {
          says: 'The note is put away',
          action: {
            label: 'Bring it back',
            run: () => {
              if (draft.peek()) desk.pin();
              setDraft(now);
            },
          },
        };
    },
    change(note) {
      if (draft.peek()) desk.pin();
      if (draft.peek()) return;
      desk.goTo(note);
      setDraft(draftOf(note, clock.newId()));
    },
    answerText(note, text) {
      set({ ...works.peek(), answers: { ...works.peek().answers, [note]: text } });
    },
    answer(note) {
      const text = works.peek().answers[note.id]?.trim();
      if (!text || !ask(`Answered on ${note.pin.body.drawing}`, [{ kind: 'reply', to: note.id, text }]))
        return;
      const { [note.id]: _, ...answers } = works.peek().answers;
      works.value = { ...works.peek(), answers };
      void ledger.flush().then(() => keeper.keep(works.peek()));
    },
    setState(note, state) {
      ask(`Note on ${note.pin.body.drawing}: ${state}`, [{ kind: 'state', to: note.id, state }]);
    },
    withdraw(id, says) {
      ask(says, [{ kind: 'withdraw', to: id }]);
    },
    allowed: (body) => ledger.may(body).may,
    goTo(note) {
      const { level, drawing } = note.pin.body;
      batch(() => {
        session.act({ do: 'level', level });
        session.act({ do: 'drawing', label: drawing });
        chosen.value = note.id;
      });
    },
    step(by) {
      const list = desk.shown.peek();
      const at = list.findIndex(({ id }) => id === chosen.peek());
      const next = at < 0 ? list.at(by > 0 ? 0 : -1) : list[(at + by + list.length) % list.length];
      if (next) desk.goTo(next);
    },
    close() {
      for (const stop of stops) stop();
      desks.delete(session);
    },
  };

  const turn = (step: (draft: Draft) => Draft): void => {
    const now = draft.peek();
    if (now) setDraft(step(now));
  };
  session.inHand.value = {
    canUndo: computed(() => (draft.value?.steps.length ?? 0) > 0),
    canRedo: computed(() => (draft.value?.undone.length ?? 0) > 0),
    undo: () => turn(undoStep),
    redo: () => turn(redoStep),
    type(letter) {
      const now = draft.peek();
      if (!afterStroke || !now) return false;
      desk.write({ text: now.text + letter });
      writing.value = true;
      return true;
    },
  };
  /** Whoever goes on to another drawing is done with the note; one for a run of drawings goes along. */
  const stopPinning = effect(() => {
    const { level, drawing, motion } = session.model.value;
    if (motion !== 'still') return;
    const now = draft.peek();
    if (!now || (now.level === level && now.drawings.includes(drawing))) return;
    afterStroke = false;
    untracked(desk.pin);
  });
  // Any other key or tap is about something else than the note's words.
  const heard = new AbortController();
  if (typeof addEventListener === 'function') {
    const other = (event: Event): void => {
      const onPaper = event.target instanceof Element && event.target.closest('.stage') !== null;
      if (!onPaper) afterStroke = false;
    };
    addEventListener('pointerdown', other, { capture: true, signal: heard.signal });
    addEventListener(
      'keydown',
      ({ key }) => {
        if (key.length > 1 && key !== 'Shift') afterStroke = false;
      },
      { signal: heard.signal },
    );
  }
  const stops = [
    stopPinning,
    () => heard.abort(),
    session.alsoFlush(keeper.flush),
    () => {
      session.inHand.value = undefined;
      void keeper.flush().finally(keeper.close);
    },
  ];
  return desk;
}
