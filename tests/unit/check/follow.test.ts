/** Following a place from drawing to drawing, on a matching that is known: what holds, from where, and what is given up. */
import { expect, it } from 'vitest';
import { followPlace, type Steps } from '../../../src/check/path/follow.ts';
import type { Point } from '../../../src/line/path/step-place.ts';

/** Each step goes 10 px to the right a drawing; what was asked is kept. */
function steps(count: number, refuses: (from: number, to: number) => string | undefined = () => undefined) {
  const asked: string[] = [];
  const source: Steps = {
    count,
    without: (drawing) => (drawing === 90 ? 'it has no clean-up yet' : undefined),
    step([x, y], from, to) {
      asked.push(`${from}>${to}`);
      const refused = refuses(from, to);
      return refused === undefined ? { at: [x + 10 * (to - from), y], errorPx: 0.3 } : { refused };
    },
  };
  return { source, asked };
}

const placeOf = (dot: { readonly at?: Point | undefined }) => dot.at;

it('goes forth and back from where it was put', async () => {
  const { source, asked } = steps(5);
  const dots = await followPlace(source, new Map([[2, [100, 7]]]));
  expect(dots.map(placeOf)).toEqual([
    [80, 7],
    [90, 7],
    [100, 7],
    [110, 7],
    [120, 7],
  ]);
  expect(asked.toSorted()).toEqual(['1>0', '2>1', '2>3', '3>4']);
});

it('holds a dot that was put right, and goes on from there on both sides', async () => {
  const { source } = steps(7);
  const dots = await followPlace(
    source,
    new Map<number, Point>([
      [0, [0, 0]],
      [4, [45, 3]],
    ]),
  );
  // 2 lies as near to the one as to the other: the earlier leads.
  expect(dots.map(placeOf)).toEqual([
    [0, 0],
    [10, 0],
    [20, 0],
    [35, 3],
    [45, 3],
    [55, 3],
    [65, 3],
  ]);
  expect(dots.map((dot) => dot.at && dot.byHand)).toEqual([true, false, false, false, true, false, false]);
});

it('passes over a drawing that hides the place, and gives it up after three', async () => {
  const hidden = steps(4, (_, to) => (to === 1 ? 'hidden' : undefined));
  expect((await followPlace(hidden.source, new Map([[0, [0, 0]]]))).map(placeOf)).toEqual([
    [0, 0],
    undefined,
    [20, 0],
    [30, 0],
  ]);
  const lost = steps(6, () => 'hidden');
  const dots = await followPlace(lost.source, new Map([[0, [0, 0]]]));
  expect(lost.asked).toEqual(['0>1', '0>2', '0>3']);
  expect(dots.at(-1)).toEqual({ refused: 'it was lost on the drawings before it' });
});

it('adds up what it is unsure of, and says so in place of a dot', async () => {
  const source: Steps = {
    count: 5,
    without: () => undefined,
    step: ([x, y]) => ({ at: [x, y], errorPx: 1.5 }),
  };
  const dots = await followPlace(source, new Map([[0, [0, 0]]]));
  // √(1.5² + 1.5²) = 2.1, and with one more 2.6.
  expect(dots.map((dot) => (dot.at ? dot.errorPx.toFixed(1) : 'not'))).toEqual([
    '0.0',
    '1.5',
    '2.1',
    'not',
    'not',
  ]);
});

it('says why there is none where nobody says any more where it lies', async () => {
  const [dot] = await followPlace(steps(2).source, new Map());
  expect(dot).toEqual({ refused: expect.stringContaining('newer take') });
});
