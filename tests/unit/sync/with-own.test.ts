// Expected: by hand.
import { expect, test } from 'vitest';
import type { Drawing, ImageRef, Level, Shot } from '../../../src/shot/model.ts';
import { withOwn } from '../../../src/sync/with-own.ts';

const image = (name: string): ImageRef => ({
  sha256: name.padEnd(64, '0'),
  mediaType: 'image/png',
  width: 20,
  height: 10,
  byteLength: 99,
});
const drawing = (label: string, ...takes: readonly string[]): Drawing => ({
  label,
  takes: takes.map((name, n) => ({ number: n + 1, image: image(name) })),
});
const level = (name: string, ...drawings: readonly Drawing[]): Level => ({ name, drawings, exposures: [] });
const shot = (...levels: readonly Level[]): Shot => ({
  id: 's',
  title: 'Lantern',
  fps: 24,
  sizePx: [20, 10],
  levels,
});
const takesOf = ({ levels }: Shot): string[] =>
  levels.flatMap(({ name, drawings }) =>
    drawings.map(
      ({ label, takes }) =>
        `${name} ${label}: ${takes.map((take) => take.number + (take.image.sha256[0] ?? '')).join(' ')}`,
    ),
  );

test('without anything of our own theirs is taken as it is, also when it went back to an earlier picture', () => {
  const theirs = shot(level('A', drawing('1', 'a', 'b', 'a'), drawing('2', 'c')));
  expect(withOwn(theirs, undefined)).toBe(theirs);
  expect(withOwn(theirs, shot(level('A', drawing('1', 'a', 'b'))))).toBe(theirs);
});

test('our take stays the newest where they have none that we lack, else theirs lies on top', () => {
  const ours = shot(level('A', drawing('1', 'a', 'm'), drawing('2', 'c', 'n')));
  const theirs = shot(level('A', drawing('1', 'a'), drawing('2', 'c', 'd')));
  expect(takesOf(withOwn(theirs, ours))).toEqual(['A 1: 1a 2m', 'A 2: 1c 2n 3d']);
});

test('our drawings and levels stay, in the order of their numbers', () => {
  const ours = shot(level('A', drawing('1', 'a'), drawing('2', 'm')), level('B', drawing('1', 'x')));
  const theirs = shot(level('A', drawing('1', 'a'), drawing('3', 'c')));
  expect(takesOf(withOwn(theirs, ours))).toEqual(['A 1: 1a', 'A 2: 1m', 'A 3: 1c', 'B 1: 1x']);
});

test('the rough is theirs, ours only where they have none', () => {
  const ours = shot(
    level('A', { ...drawing('1', 'a'), rough: image('r') }, { ...drawing('2'), rough: image('s') }),
  );
  const theirs = shot(level('A', { ...drawing('1', 'a'), rough: image('t') }, drawing('2', 'c')));
  const [first, second] = withOwn(theirs, ours).levels[0]?.drawings ?? [];
  expect([first?.rough, second?.rough]).toEqual([image('t'), image('s')]);
  expect(second?.takes.map((take) => take.image)).toEqual([image('c')]);
});

test('a guessed sheet gives way to a known one, and two guesses to one over all drawings', () => {
  const known = [{ drawing: '1', frame: 1, length: 6 }];
  const guessed = (...labels: readonly string[]): Level => ({
    ...level('A', ...labels.map((label) => drawing(label, 'a'))),
    exposures: labels.map((label, n) => ({ drawing: label, frame: 1 + 2 * n, length: 2 })),
    exposuresGuessed: true,
  });
  const sheetOf = (theirs: Level, ours: Level): unknown => {
    // At their first meeting the studio's stands for what both came from.
    const merged = withOwn(shot(theirs), shot(ours), shot(theirs)).levels[0];
    return [merged?.exposures, merged?.exposuresGuessed];
  };
  const sure = { ...level('A', drawing('1', 'a')), exposures: known };
  expect(sheetOf(sure, guessed('1', '3'))).toEqual([known, undefined]);
  expect(sheetOf(guessed('1', '3'), sure)).toEqual([known, undefined]);
  const all = guessed('1', '3', '5').exposures;
  expect(sheetOf(guessed('1', '3', '5'), guessed('1', '3'))).toEqual([all, true]);
  expect(sheetOf(guessed('1', '5'), guessed('1', '3'))).toEqual([all, true]);
});

test('title, rate, exposures and rough that changed here alone stay; what changed there too is theirs', () => {
  const exposed = (frame: number) => [{ drawing: '1', frame, length: 2 }];
  const withRough = (rough: string, frame: number): Shot =>
    shot({ ...level('A', { ...drawing('1', 'a'), rough: image(rough) }), exposures: exposed(frame) });
  const base = { ...withRough('r', 1), fpsGuessed: true };
  const ours = { ...withRough('s', 3), title: 'Lantern, night', fps: 25 };
  const newer = shot(
    { ...level('A', { ...drawing('1', 'a', 'b'), rough: image('r') }), exposures: exposed(1) },
    level('B', drawing('1', 'x')),
  );
  const theirs = { ...newer, fpsGuessed: true };
  const merged = withOwn(theirs, ours, base);
  expect([merged.title, merged.fps, 'fpsGuessed' in merged]).toEqual(['Lantern, night', 25, false]);
  expect(merged.levels[0]?.exposures).toEqual(exposed(3));
  expect(merged.levels[0]?.drawings[0]?.rough).toEqual(image('s'));
  expect(takesOf(merged)).toEqual(['A 1: 1a 2b', 'B 1: 1x']);
  const renamed = { ...withRough('t', 5), title: 'Lamp', fps: 30 };
  expect(withOwn(renamed, ours, base)).toEqual(renamed);
  // Without what both came from nothing tells who changed it.
  expect(withOwn(theirs, ours).title).toBe('Lantern');
});
