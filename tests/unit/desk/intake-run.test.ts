/** What is said where an intake ends before its end, and that its workers go with it. */
import { afterEach, expect, test, vi } from 'vitest';
import { startIntake } from '../../../src/app/intake-run.ts';
import { decode } from '../../../src/intake/decode.ts';
import { makeImage } from '../../../src/intake/make-image.ts';
import type { MakeAsk } from '../../../src/intake/messages.ts';
import type { InputFile } from '../../../src/intake/source.ts';
import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import type { Shelf } from '../../../src/shelf/types.ts';
import { drawn, fileOf } from '../intake/make.ts';

afterEach(() => vi.unstubAllGlobals());

/** The decoder's own code in place of its workers; counts those that run. */
function workers() {
  const count = { running: 0, started: 0 };
  vi.stubGlobal(
    'Worker',
    class {
      #listen: ((event: { data: unknown }) => void) | undefined;
      constructor() {
        count.running++;
        count.started++;
      }
      addEventListener(type: string, listener: (event: { data: unknown }) => void): void {
        if (type === 'message') this.#listen = listener;
      }
      postMessage({ id, ask: { file, pixels } }: { readonly id: number; readonly ask: MakeAsk }): void {
        void decode(file)
          .then((decoded) => makeImage(decoded, file, pixels))
          .then((made) => this.#listen?.({ data: { id, answer: { made } } }));
      }
      terminate(): void {
        count.running--;
      }
    },
  );
  return count;
}

const twoShots = async (): Promise<InputFile[]> => [
  fileOf('sc01/clean/1.png', await drawn(1)),
  fileOf('sc02/clean/1.png', await drawn(2)),
];

test('stopped between two shots it says which one is in; nothing is told to be as it was that is not', async () => {
  workers();
  const shelf = memoryShelf();
  const files = await twoShots();
  const second: { stop?: () => void } = {};
  const kept = {
    ...shelf,
    async changeShot(...change: Parameters<Shelf['changeShot']>) {
      const shot = await shelf.changeShot(...change);
      // As the first is being written the hand is on its way.
      second.stop?.();
      return shot;
    },
  };
  let ids = 0;
  const run = startIntake({ shelf: kept, newId: () => `s${++ids}`, files: async () => files, isNew: true });
  second.stop = run.stop;
  await run.settled;
  expect(run.state.value).toEqual({ at: 'stopped', kept: ['sc01'] });
  expect((await shelf.shots()).map(({ title }) => title)).toEqual(['sc01']);
  run.close();
});

test('a stop that comes when all is in keeps nothing out, and what is in is told', async () => {
  workers();
  const shelf = memoryShelf();
  const [file] = await twoShots();
  const run = startIntake({
    shelf: {
      ...shelf,
      async changeShot(...change) {
        const shot = await shelf.changeShot(...change);
        run.stop();
        return shot;
      },
    },
    newId: () => 'only',
    files: async () => (file ? [file] : []),
    isNew: true,
  });
  await run.settled;
  expect(run.state.value.at).toBe('done');
  run.close();
});

test('thumbs asked for at once share two workers, and none starts after the end', async () => {
  const count = workers();
  const over: string[] = [];
  const run = startIntake({
    shelf: memoryShelf(),
    newId: () => 'a',
    files: async () => [fileOf('one/12.png', await drawn(3))],
    over: () => over.push('over'),
  });
  await run.settled;
  const now = run.state.value;
  if (now.at !== 'asking') throw new Error(now.at);
  const [asked] = now.plan.questions[0]?.files ?? [];
  if (!asked) throw new Error('nothing is asked of a file');
  const signal = new AbortController().signal;
  await Promise.all(Array.from({ length: 6 }, () => run.thumb(asked, signal)));
  expect(count.started).toBeLessThanOrEqual(2);
  expect(over).toEqual([]);
  run.close();
  expect(count.running).toBe(0);
  expect(over).toEqual(['over']);
  await expect(run.thumb(asked, signal)).rejects.toThrow('closed');
  expect(count.running).toBe(0);
});
