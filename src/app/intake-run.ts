/** One intake from offered files to shots on the shelf: looked at, asked, taken in, told. */
import { type ReadonlySignal, signal } from '@preact/signals';
import type { InputFile, IntakeFile, OddFile } from '../intake/source.ts';
import type { Answers, ImageMaker, Opened, Plan, Progress, TakenIn } from '../intake/types.ts';
import type { Picture } from '../line/picture.ts';
import type { Shelf } from '../shelf/types.ts';

export type IntakeState =
  | { readonly at: 'looking' }
  | { readonly at: 'asking'; readonly plan: Plan; readonly answers: Answers }
  | { readonly at: 'taking'; readonly progress: Progress | undefined }
  | { readonly at: 'done'; readonly taken: TakenIn }
  /** `kept` pictures stay on the shelf, and are not read a second time. */
  | { readonly at: 'stopped' }
  | { readonly at: 'failed'; readonly says: string; readonly odd: readonly OddFile[] };

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

interface IntakeNeeds {
  readonly shelf: Shelf;
  readonly newId: () => string;
  /** Files in, given once the intake room is loaded. */
  readonly files: (intake: typeof import('../intake/page.ts'), signal: AbortSignal) => Promise<InputFile[]>;
}

export function startIntake({ shelf, newId, files }: IntakeNeeds): IntakeRun {
  const state = signal<IntakeState>({ at: 'looking' });
  let stopped = new AbortController();
  let opened: Opened | undefined;
  let maker: ImageMaker | undefined;
  const room = import('../intake/page.ts');
  const makerOf = async (): Promise<ImageMaker> => (maker ??= (await room).createImageMaker({}));

  /** Runs one part of the way; a stop and a failure end it, each told in its own words. */
  async function part(work: (signal: AbortSignal) => Promise<void>): Promise<void> {
    const { signal: aborted } = stopped;
    try {
      await work(aborted);
    } catch (error) {
      if (aborted.aborted) return;
      const says = error instanceof Error ? error.message : String(error);
      state.value = { at: 'failed', says, odd: opened?.odd ?? [] };
    }
  }

  async function look(aborted: AbortSignal): Promise<void> {
    const intake = await room;
    opened = await intake.openIntake(await files(intake, aborted), { signal: aborted });
    const answers: Answers = new Map();
    const plan = intake.planIntake(opened, answers);
    if (aborted.aborted) return;
    if (plan.questions.length > 0) state.value = { at: 'asking', plan, answers };
    else if (plan.shots.length === 0) {
      state.value = { at: 'failed', says: 'No drawing was found among these files.', odd: plan.odd };
    } else await take(plan, aborted);
  }

  async function take(plan: Plan, aborted: AbortSignal): Promise<void> {
    state.value = { at: 'taking', progress: undefined };
    const intake = await room;
    const taken = await intake.takeIn(plan, {
      maker: await makerOf(),
      keeper: shelf,
      newId,
      signal: aborted,
      onProgress: (progress) => {
        if (!aborted.aborted) state.value = { at: 'taking', progress };
      },
    });
    if (!aborted.aborted) state.value = { at: 'done', taken };
  }

  const run: IntakeRun = {
    state,
    settled: part(look),
    answer(question, choice) {
      const now = state.peek();
      if (now.at !== 'asking' || !opened) return;
      const held = opened;
      const answers = new Map(now.answers).set(question, choice);
      void room.then(({ planIntake }) => {
        state.value = { at: 'asking', plan: planIntake(held, answers), answers };
      });
    },
    goOn() {
      const now = state.peek();
      if (now.at === 'asking') void part((aborted) => take(now.plan, aborted));
    },
    stop() {
      stopped.abort();
      state.value = { at: 'stopped' };
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
      stopped.abort();
      maker?.close();
    },
  };
  return run;
}
