/** Newer clean-ups on their way into a shot of the shelf: whose they are, and what they say when they arrive. */
import { expect, test } from 'vitest';
import { startIntake } from '../../../src/app/intake-run.ts';
import { sayArrived } from '../../../src/app/say-arrived.ts';
import { setPerson } from '../../../src/desk/table.ts';
import type { InputFile } from '../../../src/intake/source.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import type { Shelf } from '../../../src/shelf/types.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { named } from '../intake/make.ts';

const shotOf = (id: string, title: string, takes = 0): Shot => ({
  id,
  title,
  fps: 24,
  sizePx: [3, 2],
  levels: [
    {
      name: '',
      drawings: [
        {
          label: '3',
          takes: Array.from({ length: takes }, (_, n) => ({
            number: n + 1,
            image: { sha256: `take ${n}`, width: 3, height: 2, mediaType: 'image/png', byteLength: 1 },
          })),
        },
      ],
      exposures: [],
    },
  ],
});

async function shelfOf(...shots: readonly Shot[]): Promise<Shelf> {
  const shelf = memoryShelf();
  for (const shot of shots) await shelf.keepShot(shot);
  return shelf;
}

/** What is asked of one file in a folder, and what would be taken in with the answers so far. */
async function asked(shelf: Shelf, more: { into?: Shot; isNew?: boolean } = {}) {
  const files: InputFile[] = await named('lamp/clean/0003.png', 'lamp/clean/0005.png');
  const run = startIntake({ shelf, newId: () => 'fresh', files: () => Promise.resolve(files), ...more });
  await run.settled;
  return run;
}
const questions = (run: Awaited<ReturnType<typeof asked>>): string[] => {
  const now = run.state.peek();
  return now.at === 'asking' ? now.plan.questions.map(({ id, guess }) => `${id}: ${guess}`) : [];
};

test('a folder of a title that is on the shelf: asked whose, most likely that shot’s', async () => {
  const run = await asked(await shelfOf(shotOf('a', 'lamp'), shotOf('b', 'other')));
  expect(questions(run)).toEqual(['whose: a']);
  const now = run.state.peek();
  expect(now.at === 'asking' && now.plan.questions[0]?.choices.map(({ value }) => value)).toEqual([
    'a',
    'new',
  ]);
  run.answer('whose', 'new');
  await expect
    .poll(() => {
      const after = run.state.peek();
      return after.at === 'asking' && after.answers.get('whose');
    })
    .toBe('new');
  run.close();
});

test('two shots of one title are both offered; another title, a chosen shot, and samples ask nothing', async () => {
  const twice = await asked(await shelfOf(shotOf('a', 'lamp'), shotOf('b', 'lamp')));
  const now = twice.state.peek();
  expect(now.at === 'asking' && now.plan.questions[0]?.choices.map(({ value }) => value)).toEqual([
    'a',
    'b',
    'new',
  ]);
  twice.close();
  const shelf = await shelfOf(shotOf('a', 'lamp'));
  for (const run of [
    await asked(await shelfOf(shotOf('b', 'other'))),
    await asked(shelf, { into: shotOf('a', 'lamp') }),
    await asked(shelf, { isNew: true }),
  ]) {
    expect(questions(run)).toEqual([]);
    run.close();
  }
});

test('arriving takes call their drawings clean in the name of who took them in, after all that was said', async () => {
  const shelf = await shelfOf(shotOf('a', 'lamp', 0));
  setPerson({ id: 'p-ana', name: 'Ana', role: 'artist' });
  let ids = 0;
  const newId = (): string => `e${++ids}`;
  await sayArrived(shelf, newId, {
    before: shotOf('a', 'lamp', 0),
    after: shotOf('a', 'lamp', 1),
    beside: [],
  });
  await sayArrived(shelf, newId, {
    before: shotOf('a', 'lamp', 1),
    after: shotOf('a', 'lamp', 2),
    beside: [],
  });
  const entries = await shelf.entries('a');
  expect(entries.map(({ writer, body }) => [writer.name, body])).toEqual([
    ['Ana', { kind: 'drawing state', level: '', drawing: '3', state: 'clean' }],
  ]);
  expect([...mergeNotes(entries).drawingStates.values()].map(({ state }) => state)).toEqual(['clean']);
  setPerson({ id: '', name: '', role: 'director' });
});

test('a pack speaks for its own takes: what its director approved stays approved', async () => {
  const shelf = await shelfOf(shotOf('a', 'lamp'));
  const pack = { name: 'entries.json', path: 'fairpeg/entries.json', text: '[]' } as const;
  const newer = { before: shotOf('a', 'lamp', 1), after: shotOf('a', 'lamp', 2), beside: [pack] };
  await sayArrived(shelf, () => 'e', newer);
  expect(await shelf.entries('a')).toEqual([]);
});
