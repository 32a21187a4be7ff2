/** What waits, where one works: what the checks found outlives the desk, and intake leads to what it brought. */
import { expect, test } from 'vitest';
import { retakenWords, waitLines } from '../../../src/app/shot-words.ts';
import { arrive, arriveAt } from '../../../src/desk/arrive.ts';
import {
  findingsHere,
  findingsOf,
  keepFindings,
  keepPackFindings,
  knownFindings,
} from '../../../src/desk/findings.ts';
import { openSession } from '../../../src/desk/session.ts';
import { waitsHere } from '../../../src/desk/waits-here.ts';
import type { FixFinding } from '../../../src/note/fix-list.ts';
import { drawingKey } from '../../../src/shot/drawing-ref.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { addTake, cleanOf, retakenIn } from '../../../src/shot/takes.ts';
import { shelfWith } from './a-shelf.ts';
import { figure, image } from './a-shot.ts';
import { handClock } from './hand-clock.ts';

const base: Shot = { id: 'shot-w', title: 'The hat', fps: 24, sizePx: [1920, 1080], levels: [figure] };
const found = (drawing: string): FixFinding => ({
  check: 'leaks',
  level: 'figure',
  drawing,
  bbox: [1, 2, 3, 4],
  message: 'opens 6 px',
  key: `leaks ${drawing}`,
  lineDigest: 'd',
});
const opened = async (shelf: Awaited<ReturnType<typeof shelfWith>>) => {
  const session = await openSession(shelf, handClock(), base.id);
  if (!session) throw new Error('no session');
  return session;
};
const second = figure.drawings.find(({ label }) => label === '2');
const cleanOf2 = second && cleanOf(second);
const redrawn = (label: string): Shot => ({
  ...base,
  levels: [
    {
      ...figure,
      drawings: figure.drawings.map((one) => (one.label === label ? addTake(one, image('new')) : one)),
    },
  ],
});

test('what was found on the desk is known without it, until the drawing is redrawn', async () => {
  const shelf = await shelfWith(base);
  await keepPackFindings(shelf, base.id, [found('4A')]);
  expect((await knownFindings(shelf, base)).findings.map(({ drawing }) => drawing)).toEqual(['4A']);
  const session = await opened(shelf);
  const stop = keepFindings(session);
  findingsOf(session).found.value = [found('2'), found('5')];
  // One who leaves in the middle of measuring has half of them: those are not what is known.
  findingsOf(session).measured.value = 0.5;
  findingsOf(session).found.value = [found('2')];
  await session.close();
  stop();
  expect((await knownFindings(shelf, base)).findings.map(({ drawing }) => drawing)).toEqual(['2', '5']);
  expect((await knownFindings(shelf, redrawn('2'))).findings.map(({ drawing }) => drawing)).toEqual(['5']);
  // Only a whole round says that nothing was found on the others; what is redrawn is open again.
  expect((await knownFindings(shelf, base)).unchecked).toBe(0);
  expect((await knownFindings(shelf, redrawn('2'))).unchecked).toBe(1);
  // The desk opened again shows them before it has measured anything.
  const again = await opened(shelf);
  const shown = findingsHere(again);
  await Promise.resolve();
  await expect.poll(() => shown.value.length).toBe(2);
  expect(waitsHere(again).value.get(drawingKey({ level: 'figure', drawing: '5' }))?.findings).toBe(1);
  await again.close();
});

test('a shot that nobody checked says so, also where an earlier version kept what it found', async () => {
  const shelf = await shelfWith(base);
  const cleans = figure.drawings.filter((drawing) => cleanOf(drawing)).length;
  expect(await knownFindings(shelf, base)).toEqual({ findings: [], unchecked: cleans });
  await shelf.keepValue(`findings:${base.id}`, [{ ...found('2'), image: cleanOf2?.sha256 }]);
  const { findings, unchecked } = await knownFindings(shelf, base);
  expect(findings.map(({ drawing }) => drawing)).toEqual(['2']);
  expect(unchecked).toBe(cleans);
});

test('drawings that got a newer take are told by number; a first clean-up is none', () => {
  const retaken = retakenIn(base, redrawn('2'));
  expect(retaken).toEqual([{ level: 'figure', drawing: '2', take: 2 }]);
  expect(retakenIn(base, redrawn('3'))).toEqual([]);
  expect(retakenWords([...retaken, { level: 'hat', drawing: '6', take: 2 }])).toBe(
    'figure 2 and hat 6: take 2',
  );
  expect(
    retakenWords([
      { level: '', drawing: '13', take: 2 },
      { level: '', drawing: '22', take: 2 },
      { level: '', drawing: '24', take: 3 },
    ]),
  ).toBe('13 and 22: take 2; 24: take 3');
});

test('the shelf says first what waits for the role that looks', () => {
  const at = { level: '', drawing: '5' };
  const done = [
    {
      drawing: { label: '5', takes: [] },
      state: 'clean' as const,
      waits: { at, notes: 1, findings: 2, fixed: 0, retake: 2 },
    },
    { drawing: { label: '9', takes: [] }, state: 'clean' as const },
  ];
  expect(waitLines(done, 'artist').map(({ kind }) => kind)).toEqual(['note', 'finding', 'look']);
  expect(waitLines(done, 'director').map(({ words }) => words)).toEqual([
    'To look at: 5',
    'To mend, by notes: 5',
    'Findings of the checks: 5',
  ]);
  expect(waitLines(done.slice(1), 'artist')).toEqual([]);
});

test('a desk that was led to opens there, once, and no other desk does', async () => {
  const shelf = await shelfWith({ ...base, levels: [figure, { ...figure, name: 'hat' }] });
  const session = await opened(shelf);
  arriveAt({ shotId: 'another', at: { level: 'hat', drawing: '9' } });
  arrive(session);
  expect(session.model.value.drawing).toBe('1');
  arriveAt({ shotId: base.id, at: { level: 'hat', drawing: '9' }, panel: 'retakes' });
  arrive(session);
  expect([session.model.value.level, session.model.value.drawing, session.panel.value]).toEqual([
    'hat',
    '9',
    'retakes',
  ]);
  session.act({ do: 'drawing', label: '1' });
  arrive(session);
  expect(session.model.value.drawing).toBe('1');
  await session.close();
});
