/** What planning one shot works on. */
import type { Shot } from '../shot/model.ts';
import type { ShotFile } from '../shot/shot-json.ts';
import type { IntakeFile, OddFile } from './source.ts';
import type { Answers, BesideFile, Question } from './types.ts';

export interface ShotInput {
  readonly files: readonly IntakeFile[];
  /** Folder that holds them all: its own name says nothing about levels. */
  readonly folder: string;
  readonly title: string;
  /** Nothing says what it is called: `title` is made up. */
  readonly unnamed: boolean;
  readonly shotFile: ShotFile | undefined;
  readonly sheet: string | undefined;
  readonly beside: readonly BesideFile[];
  readonly answers: Answers;
  readonly into: Shot | undefined;
  /** Paths of files that were refused already: their drawings are not missing. */
  readonly refused: readonly string[];
}

/** What the steps of planning find out on their way. */
export interface Notes {
  readonly questions: Question[];
  readonly odd: OddFile[];
}
