import { expect, test } from 'vitest';
import { arrivedBodies } from '../../../src/note/arrived.ts';
import type { DrawingState } from '../../../src/note/entry.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { entry, shot } from './make.ts';

/** The shot of drawings 1, 3, 5 with takes as given by label. */
const withTakes = (takes: Readonly<Record<string, number>>): Shot => ({
  ...shot,
  levels: shot.levels.map((level) => ({
    ...level,
    drawings: level.drawings.map((drawing) => ({
      ...drawing,
      takes: Array.from({ length: takes[drawing.label] ?? 0 }, (_, n) => ({
        number: n + 1,
        image: {
          sha256: `${drawing.label}-${n}`,
          width: 1,
          height: 1,
          mediaType: 'image/png',
          byteLength: 1,
        },
      })),
    })),
  })),
});
const said = (drawing: string, state: DrawingState) =>
  entry({ kind: 'drawing state', level: '', drawing, state });
const clean = (drawing: string) => ({ kind: 'drawing state', level: '', drawing, state: 'clean' });

test('a first take makes a drawing clean; so does a newer one of what was approved or taken up again', () => {
  const notes = mergeNotes([said('3', 'approved'), said('5', 'in clean-up')]);
  const before = withTakes({ 3: 1, 5: 1 });
  expect(arrivedBodies(before, withTakes({ 1: 1, 3: 2, 5: 2 }), notes)).toEqual([
    clean('1'),
    clean('3'),
    clean('5'),
  ]);
});

test('what was clean already, and what has no newer take, is not said again', () => {
  const before = withTakes({ 1: 1, 3: 1 });
  expect(arrivedBodies(before, withTakes({ 1: 2, 3: 1 }), mergeNotes([said('3', 'in clean-up')]))).toEqual(
    [],
  );
});

test('a drawing that came with its take is clean', () => {
  const before = { ...shot, levels: [] };
  expect(arrivedBodies(before, withTakes({ 5: 1 }), mergeNotes([]))).toEqual([clean('5')]);
});
