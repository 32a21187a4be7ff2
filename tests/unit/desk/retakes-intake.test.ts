/** Newer clean-ups on their way into a shot of the shelf: whose they are, and what they say when they arrive. */
import { expect, test } from 'vitest';
import { startIntake } from '../../../src/app/intake-run.ts';
import type { InputFile } from '../../../src/intake/source.ts';
import { latestStamp } from '../../../src/note/clock.ts';
import type { Person } from '../../../src/note/entry.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import { writtenEntries } from '../../../src/note/written.ts';
import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import type { Shelf } from '../../../src/shelf/types.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { author, putShot } from '../../support/put-shot.ts';
import { imageOf } from '../../support/shelf-contract.ts';
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
  for (const shot of shots) await putShot(shelf, shot);
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
  const shelf = memoryShelf();
  const { file, thumb, flip } = imageOf(1);
  for (const { image } of shotOf('a', 'lamp', 2).levels[0]?.drawings[0]?.takes ?? [])
    await shelf.keepImage({ ref: image, file, thumb, flip });
  await putShot(shelf, shotOf('a', 'lamp', 0));
  const ana: Person = { id: 'p-ana', name: 'Ana', role: 'artist' };
  const dov: Person = { id: 'p-dov', name: 'Dov', role: 'director' };
  await putShot(shelf, shotOf('a', 'lamp', 1), ana);
  const approved = { kind: 'drawing state', level: '', drawing: '3', state: 'approved' } as const;
  const said = writtenEntries(
    'a',
    [approved],
    author(dov),
    latestStamp((await shelf.entries('a')).map(({ stamp }) => stamp)),
  );
  await shelf.addEntries(said, 'here');
  const stateNow = async () => [...mergeNotes(await shelf.entries('a')).drawingStates.values()];
  expect((await stateNow()).map(({ state }) => state)).toEqual(['approved']);
  await putShot(shelf, shotOf('a', 'lamp', 2), ana);
  expect((await stateNow()).map(({ state, entry }) => [state, entry.writer.name])).toEqual([
    ['clean', 'Ana'],
  ]);
});

test('a pack speaks for its own takes: what its director approved stays approved', async () => {
  const one = memoryShelf();
  const { file, thumb, flip } = imageOf(1);
  const takes = shotOf('a', 'lamp', 2).levels[0]?.drawings[0]?.takes ?? [];
  await putShot(one, shotOf('a', 'lamp', 0));
  const two = memoryShelf();
  await two.addEntries(await one.entries('a'), 'file');
  await two.keepShot('a');
  for (const shelf of [one, two])
    for (const { image } of takes) await shelf.keepImage({ ref: image, file, thumb, flip });
  await putShot(one, shotOf('a', 'lamp', 2));
  const approved = { kind: 'drawing state', level: '', drawing: '3', state: 'approved' } as const;
  const latest = latestStamp((await one.entries('a')).map(({ stamp }) => stamp));
  await one.addEntries(
    writtenEntries('a', [approved], author({ id: 'p-dov', name: 'Dov', role: 'director' }), latest),
    'here',
  );
  // As a pack is taken in: first what it says, then its drawings.
  await two.addEntries(await one.entries('a'), 'file');
  await putShot(two, shotOf('a', 'lamp', 2));
  const states = [...mergeNotes(await two.entries('a')).drawingStates.values()];
  expect(states.map(({ state }) => state)).toEqual(['approved']);
});
