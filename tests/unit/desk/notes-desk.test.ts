import { expect, it } from 'vitest';
import { strokesOf } from '../../../src/desk/notes/draft.ts';
import { type NotesDesk, notesOf } from '../../../src/desk/notes/notes-desk.ts';
import { openSession, type Session } from '../../../src/desk/session.ts';
import { setPerson } from '../../../src/desk/table.ts';
import type { Stroke } from '../../../src/note/entry.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import type { Shelf } from '../../../src/shelf/types.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { shelfWith } from './a-shelf.ts';
import { figure } from './a-shot.ts';
import { handClock } from './hand-clock.ts';

const base: Shot = { id: 'shot-n', title: 'The hat', fps: 24, sizePx: [1920, 1080], levels: [figure] };
const stroke: Stroke = { colour: 'red', widthPx: 3, points: [10, 20, 0.5, 30, 40, 0.7] };

const shelfWithShot = (): Promise<Shelf> => shelfWith(base);
const clock = handClock();
async function open(shelf: Shelf): Promise<{ session: Session; desk: NotesDesk }> {
  const session = await openSession(shelf, clock, base.id);
  if (!session) throw new Error('no session');
  const desk = notesOf(session);
  await new Promise((done) => setTimeout(done));
  return { session, desk };
}
const live = (desk: NotesDesk): string[] =>
  desk.notes.value.filter(({ withdrawn }) => !withdrawn).map(({ pin }) => pin.body.drawing);

it('a stroke is kept at once: a desk opened anew, without a farewell, has it', async () => {
  const shelf = await shelfWithShot();
  const { desk } = await open(shelf);
  desk.begin('figure', '2');
  desk.ink(stroke);
  desk.write({ text: 'thi' });
  await new Promise((done) => setTimeout(done));
  const { desk: after } = await open(shelf);
  expect(after.draft.value).toMatchObject({ drawing: '2', text: 'thi', at: [10, 20] });
  expect(after.draft.value?.steps[0]?.came).toEqual([stroke]);
});

it('a crash between pinning and forgetting pins once', async () => {
  const shelf = await shelfWithShot();
  const { session, desk } = await open(shelf);
  desk.begin('figure', '2');
  desk.ink(stroke);
  await session.flush();
  const left = await shelf.value(`notes in the works:${base.id}`);
  desk.pin();
  await session.flush();
  // The write that forgets the draft did not come through.
  await shelf.keepValue(`notes in the works:${base.id}`, left);
  const { desk: after } = await open(shelf);
  expect(after.draft.value).toBeUndefined();
  expect(live(after)).toEqual(['2']);
});

it('drawing on another drawing pins what was in the works', async () => {
  const { desk } = await open(await shelfWithShot());
  desk.begin('figure', '2');
  desk.ink(stroke);
  desk.begin('figure', '5');
  desk.ink(stroke);
  expect(live(desk)).toEqual(['2']);
  expect(desk.draft.value?.drawing).toBe('5');
});

it('undo takes the strokes back first, then withdraws the pin, and redo brings it back, over and over', async () => {
  const shelf = await shelfWithShot();
  const { session, desk } = await open(shelf);
  desk.begin('figure', '2');
  desk.ink(stroke);
  desk.pin();
  desk.begin('figure', '5');
  desk.ink(stroke);
  session.undo();
  expect(desk.draft.value?.steps).toEqual([]);
  expect(live(desk)).toEqual(['2']);
  session.undo();
  expect(live(desk)).toEqual([]);
  // What was undone first is redone last.
  session.redo();
  expect(strokesOf(desk.draft.value ?? expect.unreachable())).toEqual([stroke]);
  session.undo();
  desk.throwAway();
  for (let n = 0; n < 2; n++) {
    session.redo();
    expect(live(desk)).toEqual(['2']);
    session.undo();
    expect(live(desk)).toEqual([]);
  }
  await session.flush();
  // Nothing was erased: the pin and every withdrawal are still there.
  const { notes } = mergeNotes(await shelf.entries(base.id));
  expect(notes).toHaveLength(1);
});

it('an artist says fixed and may not approve or withdraw the director’s note', async () => {
  setPerson({ id: 'd', name: 'Mira', role: 'director' });
  const { desk } = await open(await shelfWithShot());
  desk.begin('figure', '2');
  desk.ink(stroke);
  desk.pin();
  setPerson({ id: 'a', name: 'Jon', role: 'artist' });
  const note = () => desk.notes.value[0] ?? expect.unreachable();
  desk.setState(note(), 'approved');
  expect(note().state).toBe('open');
  expect(desk.refusal.value).toContain('artist');
  desk.setState(note(), 'fixed');
  expect(note().state).toBe('fixed');
  expect(desk.refusal.value).toBe('');
  desk.withdraw(note().id, 'withdrawn');
  expect(live(desk)).toEqual(['2']);
  setPerson({ id: 'd', name: 'Mira', role: 'director' });
});

it('going on to another drawing pins the note; back on it a new one begins', async () => {
  const { session, desk } = await open(await shelfWithShot());
  session.act({ do: 'drawing', label: '2' });
  desk.begin('figure', '2');
  desk.ink(stroke);
  session.act({ do: 'drawing', label: '5' });
  expect(live(desk)).toEqual(['2']);
  expect(desk.draft.value).toBeUndefined();
});

it('a letter typed straight after a stroke is a word of the note; without a stroke it is none', async () => {
  const { session, desk } = await open(await shelfWithShot());
  expect(session.inHand.value?.type('t')).toBe(false);
  session.act({ do: 'drawing', label: '2' });
  desk.begin('figure', '2');
  desk.ink(stroke);
  for (const letter of 'too thin'.replace(' ', '')) expect(session.inHand.value?.type(letter)).toBe(true);
  expect(desk.draft.value?.text).toBe('toothin');
  desk.pin();
  expect(session.inHand.value?.type('x')).toBe(false);
});
