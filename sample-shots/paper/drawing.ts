/** From a scene to the two sheets of paper: the rough and the clean drawing. */
import { dist } from './geometry.ts';
import { blankInk, type Inked, inkFill, inkRun } from './ink.ts';
import {
  blankPencil,
  pencilConstruction,
  pencilHatch,
  pencilPalette,
  pencilPixels,
  pencilRun,
} from './pencil.ts';
import { encodePng } from './png.ts';
import { random } from './random.ts';
import { type Run, type Scene, solidAt, visibleRuns } from './scene.ts';

export interface Sheet {
  readonly width: number;
  readonly height: number;
  /** Image px per unit of the pencils and searching strokes; 1 suits 2K. */
  readonly scale: number;
}

const longEnough = (run: Run): boolean =>
  run.path.length > 2 || (run.path.length === 2 && dist(run.path[0]!, run.path[1]!) > 0.5);

/** The scene's line in final ink. `change` may alter the runs first (a planted fault). */
export function cleanInk(
  scene: Scene,
  sheet: Sheet,
  weightPx: number,
  seed: number,
  change: (runs: Run[]) => Run[] = (runs) => runs,
): Inked {
  const next = random(seed);
  const paper = blankInk(sheet.width, sheet.height);
  for (const run of change(visibleRuns(scene).filter(longEnough))) inkRun(paper, run, weightPx, next);
  for (const { box, inside } of solidAt(scene)) inkFill(paper, box, inside);
  return paper;
}

/** A PNG of the ink on white paper, or on nothing. */
export function cleanPng({ width, height, ink }: Inked, transparent: boolean, level = 9): Uint8Array {
  if (!transparent) {
    const grey = new Uint8Array(ink.length);
    for (let i = 0; i < ink.length; i++) grey[i] = 255 - ink[i]!;
    return encodePng(width, height, grey, { level });
  }
  const data = new Uint8Array(ink.length * 2);
  for (let i = 0; i < ink.length; i++) data[i * 2 + 1] = ink[i]!;
  return encodePng(width, height, data, { alpha: true, level });
}

/** The scene in pencil, as a PNG. */
export function roughPng(scene: Scene, sheet: Sheet, seed: number, level = 9): Uint8Array {
  const next = random(seed);
  const paper = blankPencil(sheet.width, sheet.height);
  for (const line of scene.construction) pencilConstruction(paper, line, sheet.scale, next);
  for (const run of visibleRuns(scene).filter(longEnough)) pencilRun(paper, run, sheet.scale, next);
  for (const { box, inside } of solidAt(scene)) pencilHatch(paper, box, inside, next);
  return encodePng(sheet.width, sheet.height, pencilPixels(paper, seed ^ 0x5bd1e995), {
    palette: pencilPalette(),
    level,
  });
}
