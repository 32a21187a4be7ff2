/** One intake from offered files to shots on the shelf: looked at, asked, taken in, told. */
import { type ReadonlySignal, signal } from '@preact/signals';
import { tabletClock } from '../desk/clock.ts';
import { person } from '../desk/table.ts';
import { sentenceOf } from '../error/sentence.ts';
import type { InputFile, IntakeFile, OddFile } from '../intake/source.ts';
import type {
  Answers,
  BesideFile,
  ImageMaker,
  Opened,
  Plan,
  Progress,
  Question,
  TakenIn,
} from '../intake/types.ts';
import type { Picture } from '../line/picture.ts';
import type { Shelf } from '../shelf/types.ts';
import type { Shot } from '../shot/model.ts';
import { type Retaken, retakenIn } from '../shot/takes.ts';
import type { Brought } from './take-beside.ts';

export type IntakeState =
  | { readonly at: 'looking' }
  | { readonly at: 'asking'; readonly plan: Plan; readonly answers: Answers }
  | { readonly at: 'taking'; readonly progress: Progress | undefined }
  | {
      readonly at: 'done';
      readonly taken: TakenIn;
      readonly brought: ReadonlyMap<string, Brought>;
      /** By the shot's id: its drawings that have a newer take than before. */
      readonly retaken: ReadonlyMap<string, readonly Retaken[]>;
    }
  /** `kept`: titles of the shots that were on the shelf, whole, before it ended. */
  | { readonly at: 'stopped'; readonly kept: readonly string[] }
  | {
      readonly at: 'failed';
      readonly says: string;
      readonly odd: readonly OddFile[];
      readonly kept: readonly string[];
    };

export interface IntakeRun {
  readonly state: ReadonlySignal<IntakeState>;
  answer(question: string, choice: string): void;
  /** Takes in what is planned, with the answers given. */
  readonly goOn: () => void;
  readonly stop: () => void;
  /** From the start, with the same files. */
  readonly again: () => void;
  thumb(file: IntakeFile, signal: AbortSignal): Promise<Picture | undefined>;
  /** Resolves when nothing more will happen without a person. */
  readonly settled: Promise<void>;
  close(): void;
}

type Intake = typeof import('../intake/page.ts');

interface IntakeNeeds {
  readonly shelf: Shelf;
  readonly newId: () => string;
  /** The shot to which all of it is added; absent, that is found out, or asked. */
  readonly into?: Shot;
  /** A shot of its own, whatever its title; nobody is asked. */
  readonly isNew?: boolean;
  /** Files in, given once the intake room is loaded. */
  readonly files: (intake: Intake, signal: AbortSignal) => Promise<InputFile[]>;
  /** The files are taken in, or given up by a person: whoever held them may let them go. */
  readonly over?: () => void;
}

export function startIntake({ shelf, newId, into, isNew, files, over }: IntakeNeeds): IntakeRun {
  const state = signal<IntakeState>({ at: 'looking' });
  let stopped = new AbortController();
  let opened: Opened | undefined;
  let namesakes: readonly Shot[] = [];
  let maker: ImageMaker | undefined;
  let closed = false;
  let kept: readonly string[] = [];
  const room = import('../intake/page.ts');
  /** One for all who ask at once; none after the end, as nobody would close it. */
  async function makerOf(): Promise<ImageMaker> {
    const { createImageMaker } = await room;
    if (closed) throw new DOMException('Intake was closed.', 'AbortError');
    return (maker ??= createImageMaker({}));
  }

  /** Runs one part of the way; a stop and a failure end it, each told in its own words. */
  async function part(work: (signal: AbortSignal) => Promise<void>): Promise<void> {
    const { signal: aborted } = stopped;
    try {
      await work(aborted);
    } catch (error) {
      if (aborted.aborted) return;
      const says = sentenceOf(error);
      state.value = { at: 'failed', says, odd: opened?.odd ?? [], kept };
    }
  }

  async function look(aborted: AbortSignal): Promise<void> {
    const intake = await room;
    opened = await intake.openIntake(await files(intake, aborted), { signal: aborted });
    const answers: Answers = new Map();
    namesakes = into || isNew ? [] : await shelf.shots();
    const { plan } = planned(intake, opened, answers);
    if (aborted.aborted) return;
    if (plan.questions.length > 0) state.value = { at: 'asking', plan, answers };
    else if (plan.shots.length === 0) {
      state.value = { at: 'failed', says: 'No drawing was found among these files.', odd: plan.odd, kept };
    } else await take(plan, answers, aborted);
  }

  /** The plan with these answers, and the shot that they add to. */
  function planned(
    { planIntake }: Intake,
    files: Opened,
    given: Answers,
  ): { readonly plan: Plan; readonly base: Shot | undefined } {
    const plan = withFreeTitles(planIntake(files, given, into), namesakes);
    const question = into ? undefined : whoseDrawings(plan, namesakes);
    if (!question) return { plan, base: into };
    const chosen = given.get(question.id) ?? question.guess;
    const base = namesakes.find(({ id }) => id === chosen);
    const settled = base ? planIntake(files, given, base) : plan;
    return { plan: { ...settled, questions: [question, ...settled.questions] }, base };
  }

  async function take(plan: Plan, answers: Answers, aborted: AbortSignal): Promise<void> {
    state.value = { at: 'taking', progress: undefined };
    const intake = await room;
    const base = opened && planned(intake, opened, answers).base;
    const retaken = new Map<string, readonly Retaken[]>();
    const brought = new Map<string, Brought>();
    const bring = async (shot: Shot, beside: readonly BesideFile[]): Promise<void> => {
      if (beside.length === 0) return;
      const { takeBeside } = await import('./take-beside.ts');
      brought.set(shot.id, await takeBeside(shelf, shot, beside));
    };
    const taken = await intake.takeIn(plan, {
      maker: await makerOf(),
      keeper: shelf,
      newId,
      author: () => ({ writer: person.peek(), newId: tabletClock.newId, nowMs: tabletClock.wallMs() }),
      ...(base && { into: base }),
      signal: aborted,
      onProgress: (progress) => {
        if (!aborted.aborted) state.value = { at: 'taking', progress };
      },
      onKept({ title }) {
        kept = [...kept, title];
        // A stop that came while it was being written.
        if (state.peek().at === 'stopped') state.value = { at: 'stopped', kept };
      },
      // What a pack says of a shot that is here goes before its takes: they are approved, or not, as it says.
      async onNewer({ before, after, beside }) {
        await bring(after, beside);
        retaken.set(after.id, retakenIn(before, after));
      },
    });
    // A shot that is new is first what it brought with it.
    for (const { shot, beside } of taken.shots) if (!brought.has(shot.id)) await bring(shot, beside);
    // All is in, also where the stop came too late to keep anything out.
    if (aborted !== stopped.signal) return;
    state.value = { at: 'done', taken, brought, retaken };
    over?.();
  }

  const run: IntakeRun = {
    state,
    settled: part(look),
    answer(question, choice) {
      const now = state.peek();
      if (now.at !== 'asking' || !opened) return;
      const held = opened;
      const answers = new Map(now.answers).set(question, choice);
      void room.then((intake) => {
        // Gone on, or stopped, meanwhile.
        if (state.peek() !== now) return;
        state.value = { at: 'asking', plan: planned(intake, held, answers).plan, answers };
      });
    },
    goOn() {
      const now = state.peek();
      if (now.at === 'asking') void part((aborted) => take(now.plan, now.answers, aborted));
    },
    stop() {
      stopped.abort();
      state.value = { at: 'stopped', kept };
    },
    again() {
      stopped.abort();
      stopped = new AbortController();
      state.value = { at: 'looking' };
      void part(look);
    },
    async thumb(file, aborted) {
      return (await room).thumbOf(file, await makerOf(), aborted);
    },
    close() {
      closed = true;
      stopped.abort();
      maker?.close();
      over?.();
    },
  };
  return run;
}

/** A made-up title is one that no shot on the shelf has: “Shot”, “Shot 2”, … */
function withFreeTitles(plan: Plan, onShelf: readonly Shot[]): Plan {
  const used = new Set(onShelf.map(({ title }) => title));
  const shots = plan.shots.map((shot) => {
    if (!shot.unnamed) return shot;
    const bare = shot.title.replace(/ \d+$/, '');
    let title = bare;
    for (let n = 2; used.has(title); n++) title = `${bare} ${n}`;
    used.add(title);
    return { ...shot, title };
  });
  return { ...plan, shots };
}

/** Asked when one shot is offered that the shelf has by its title: a folder brought again is mostly retakes. */
function whoseDrawings({ shots }: Plan, onShelf: readonly Shot[]): Question | undefined {
  const [only, ...others] = shots;
  if (!only || others.length > 0 || only.id !== undefined || only.unnamed) return undefined;
  const named = onShelf.filter(({ title }) => title === only.title);
  const [likeliest] = named;
  if (!likeliest) return undefined;
  return {
    id: 'whose',
    text: `“${only.title}” is on the shelf already. Are these drawings of that shot?`,
    files: [],
    choices: [
      ...named.map(({ id }, n) => ({
        value: id,
        text: `Yes: newer clean-ups become new takes${named.length > 1 ? `, in number ${n + 1} of that title` : ''}`,
      })),
      { value: 'new', text: 'No: it is a shot of its own' },
    ],
    guess: likeliest.id,
  };
}
