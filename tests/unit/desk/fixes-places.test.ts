import { afterEach, expect, test, vi } from 'vitest';
import { places } from '../../../src/desk/fixes/places.ts';

afterEach(() => vi.unstubAllGlobals());

/** A browser's view that a test scrolls by hand. */
function view() {
  const watched = new Set<Element>();
  let tell: (entries: { target: Element; isIntersecting: boolean }[]) => void = () => undefined;
  vi.stubGlobal(
    'IntersectionObserver',
    class {
      constructor(seen: typeof tell) {
        tell = seen;
      }
      observe = (row: Element) => void watched.add(row);
      unobserve = (row: Element) => void watched.delete(row);
      disconnect = () => watched.clear();
    },
  );
  const turn = (isIntersecting: boolean, rows: readonly Element[]): void =>
    tell(rows.map((target) => ({ target, isIntersecting })));
  return { watched, turn };
}

/** A canvas in a row of its own. */
function canvas(): HTMLCanvasElement {
  const row = {};
  return {
    width: 0,
    dataset: {},
    closest: (what: string) => (what === 'li' ? row : null),
  } as unknown as HTMLCanvasElement;
}
const rowOf = (one: HTMLCanvasElement): Element => one.closest('li') as Element;
const settle = () => new Promise((done) => setTimeout(done));

test('of 500 places those near the view alone hold pixels, and what was passed by is not even read', async () => {
  const { turn } = view();
  const here = places();
  const all = Array.from({ length: 500 }, canvas);
  const read: number[] = [];
  const waits: (() => void)[] = [];
  for (const [n, one] of all.entries())
    here.watch(one, async (wanted) => {
      read.push(n);
      await new Promise<void>((done) => waits.push(done));
      if (wanted()) one.width = 300;
    });
  const near = (from: number, to: number) => all.slice(from, to).map(rowOf);
  turn(true, near(0, 10));
  // Before the first is read the hand has scrolled to the end.
  turn(false, near(0, 10));
  turn(true, near(490, 500));
  for (let n = 0; n < 20; n++) {
    waits.shift()?.();
    await settle();
  }
  expect(read).toEqual([0, ...Array.from({ length: 10 }, (_, n) => 490 + n)]);
  expect(all.flatMap(({ width }, n) => (width > 0 ? [n] : []))).toEqual(read.slice(1));
  // Back at the top: the pixels of the end are given back, those of the top are painted.
  turn(false, near(490, 500));
  turn(true, near(0, 3));
  for (let n = 0; n < 10; n++) {
    waits.shift()?.();
    await settle();
  }
  expect(all.flatMap(({ width }, n) => (width > 0 ? [n] : []))).toEqual([0, 1, 2]);
});

test('one that could not be read does not hold up the others, and is tried when it comes near again', async () => {
  const { turn } = view();
  const here = places();
  const [torn, whole] = [canvas(), canvas()];
  let tries = 0;
  here.watch(torn, () => Promise.reject(new Error(`torn ${++tries}`)));
  here.watch(whole, async () => {
    whole.width = 300;
  });
  turn(true, [rowOf(torn), rowOf(whole)]);
  await settle();
  expect([tries, whole.width]).toEqual([1, 300]);
  turn(false, [rowOf(torn)]);
  turn(true, [rowOf(torn)]);
  await settle();
  expect(tries).toBe(2);
});

test('a row that is gone is let go of', async () => {
  const { watched, turn } = view();
  const here = places();
  const one = canvas();
  let painted = 0;
  const stop = here.watch(one, async () => {
    painted++;
  });
  stop();
  expect(watched.size).toBe(0);
  turn(true, [rowOf(one)]);
  await settle();
  expect(painted).toBe(0);
});
