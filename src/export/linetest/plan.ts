/** What a line test shows frame by frame, before any picture is read. Pure. */
import { SentenceError } from '../../error/sentence.ts';
import type { FixRow } from '../../note/fix-list.ts';
import { drawingLabelled } from '../../shot/drawing-ref.ts';
import { exposureAt, lastFrame } from '../../shot/exposures.ts';
import type { Drawing, ImageRef, Level, Shot } from '../../shot/model.ts';
import { cleanOf } from '../../shot/takes.ts';

export const lineTestWays = ['clean', 'rough', 'beside', 'underlay'] as const;
export type LineTestWay = (typeof lineTestWays)[number];

export interface LineTestWish {
  /** `beside`: rough on the left, clean on the right. `underlay`: the rough faint beneath the clean. */
  readonly way: LineTestWay;
  /** Of the rough beneath, 0 to 1. */
  readonly underlay: number;
  /** One level alone; left out: all of them, the first lowest. */
  readonly level?: string | undefined;
  readonly numbers: boolean;
  readonly frameNumbers: boolean;
  /** Open notes of the fix list: their strokes, and their words in the corner. */
  readonly notes: readonly FixRow[];
  /** Long edge of the paper, px; left out, or more than the shot's: as drawn. */
  readonly longEdgePx?: number | undefined;
  /** A movie's edges must be even; white is added at the right and below. */
  readonly even: boolean;
}

/** A picture on the frame. */
export interface Ply {
  readonly image: ImageRef;
  /** Upper left corner on the frame and long edge there, px. */
  readonly x: number;
  readonly y: number;
  readonly longEdgePx: number;
  /** Of its ink, 0 to 1. */
  readonly opacity: number;
  readonly pane: number;
}

/** A drawing that is named on the frame, with the notes on it. */
export interface Named {
  readonly level: string;
  readonly drawing: Drawing;
  readonly notes: readonly FixRow[];
}

/** Frames in a row that look the same but for the frame's number. */
export interface Step {
  /** The first, from 1. */
  readonly frame: number;
  readonly frames: number;
  readonly plies: readonly Ply[];
  readonly named: readonly Named[];
}

export interface LineTestPlan {
  readonly width: number;
  readonly height: number;
  /** The paper's size on the frame; panes lie side by side. */
  readonly pane: readonly [width: number, height: number];
  readonly panes: 1 | 2;
  /** Frame px a px of the paper. */
  readonly scale: number;
  readonly frames: number;
  readonly steps: readonly Step[];
  readonly frameNumbers: boolean;
  readonly numbers: boolean;
  /** Drawings that show their rough faintly, for there is no clean-up of them yet. */
  readonly unclean: readonly string[];
}

/** As on the desk: a drawing without a clean-up lets its rough show this much, so that no frame is blank. */
const roughAloneOpacity = 0.35;

/** Throws with a sentence when the sheet shows nothing. */
export function planLineTest(shot: Shot, wish: LineTestWish): LineTestPlan {
  const levels = shot.levels.filter(({ name }) => wish.level === undefined || name === wish.level);
  const frames = lastFrame({ levels });
  if (frames === 0)
    throw new SentenceError(
      'nothing',
      'No drawing stands on the exposure sheet, so there is nothing to run. Say when each one is shown, then try again.',
    );
  const [paperW, paperH] = shot.sizePx;
  const scale = Math.min(1, (wish.longEdgePx ?? Infinity) / Math.max(paperW, paperH));
  const pane = [paperW, paperH].map((edge) => Math.max(1, Math.round(edge * scale))) as [number, number];
  const panes = wish.way === 'beside' ? 2 : 1;
  const fit = (edge: number): number => (wish.even ? edge + (edge % 2) : edge);
  const unclean = new Set<string>();
  const steps: Step[] = [];
  let last = '';
  for (let frame = 1; frame <= frames; frame++) {
    const shown = levels.flatMap((level) => {
      const drawing = drawingLabelled(level, exposureAt(level, frame)?.drawing ?? '');
      return drawing ? [{ level, drawing }] : [];
    });
    const key = JSON.stringify(shown.map(({ level, drawing }) => [level.name, drawing.label]));
    const step = steps.at(-1);
    if (step && key === last) steps[steps.length - 1] = { ...step, frames: step.frames + 1 };
    else {
      const named = shown.map(({ level, drawing }) => ({
        level: level.name,
        drawing,
        notes: notesOn(wish.notes, level.name, drawing.label),
      }));
      const plies = pliesOf(shown, wish, { sizePx: shot.sizePx, pane, scale });
      for (const { level, drawing } of shown)
        if ((wish.way === 'clean' || wish.way === 'underlay') && drawing.rough && !cleanOf(drawing))
          unclean.add(`${level.name} ${drawing.label}`.trim());
      steps.push({ frame, frames: 1, plies, named });
    }
    last = key;
  }
  return {
    width: fit(pane[0] * panes),
    height: fit(pane[1]),
    pane,
    panes,
    scale,
    frames,
    steps,
    frameNumbers: wish.frameNumbers,
    numbers: wish.numbers,
    unclean: [...unclean],
  };
}

function notesOn(rows: readonly FixRow[], level: string, label: string): FixRow[] {
  return rows.filter((row) => row.level === level && row.drawings.includes(label));
}

interface Shown {
  readonly level: Level;
  readonly drawing: Drawing;
}

interface Paper {
  readonly sizePx: readonly [number, number];
  readonly pane: readonly [number, number];
  readonly scale: number;
}

function pliesOf(shown: readonly Shown[], { way, underlay }: LineTestWish, paper: Paper): Ply[] {
  const roughs = (of: readonly Shown[], opacity: number): Ply[] =>
    of.flatMap(({ drawing }) => (drawing.rough ? [plyOf(drawing.rough, paper, 0, opacity)] : []));
  const cleans = (pane: number): Ply[] =>
    shown.flatMap(({ drawing }) => {
      const clean = cleanOf(drawing);
      if (clean) return [plyOf(clean, paper, pane, 1)];
      return drawing.rough && way !== 'beside' ? [plyOf(drawing.rough, paper, pane, roughAloneOpacity)] : [];
    });
  switch (way) {
    case 'clean':
      return cleans(0);
    case 'rough':
      return roughs(shown, 1);
    case 'beside':
      return [...roughs(shown, 1), ...cleans(1)];
    case 'underlay': {
      const cleaned = shown.filter(({ drawing }) => cleanOf(drawing));
      return [...roughs(cleaned, underlay), ...cleans(0)];
    }
  }
}

/** Centred on the paper, px for px (`Shot.sizePx`), as on the desk. */
function plyOf(image: ImageRef, { sizePx, pane, scale }: Paper, at: number, opacity: number): Ply {
  return {
    image,
    x: at * pane[0] + Math.round(((sizePx[0] - image.width) / 2) * scale),
    y: Math.round(((sizePx[1] - image.height) / 2) * scale),
    longEdgePx: Math.max(1, Math.round(Math.max(image.width, image.height) * scale)),
    opacity,
    pane: at,
  };
}
