import { expect, it, vi } from 'vitest';
import { exposureEdit, factsEdit, roleEdit } from '../../../src/desk/edits.ts';
import { noHistory } from '../../../src/desk/history.ts';
import { type Ledger, openLedger } from '../../../src/desk/ledger.ts';
import { allOn } from '../../../src/desk/sheet-edit.ts';
import type { Person } from '../../../src/note/entry.ts';
import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import { type Shelf, ShelfError } from '../../../src/shelf/types.ts';
import { drawingLabelled, levelNamed } from '../../../src/shot/drawing-ref.ts';
import type { Level, Shot } from '../../../src/shot/model.ts';
import { putShot } from '../../support/put-shot.ts';
import { figure, hat } from './a-shot.ts';
import { handClock } from './hand-clock.ts';

/** A busy machine is no failure. */
const soon = (check: () => void): Promise<void> => vi.waitFor(check, { timeout: 30_000 });

/** No images: the ledger does not look at them, and the shelf asks for those a shot names. */
const bare = (level: Level): Level => ({
  ...level,
  drawings: level.drawings.map(({ label, role }) => ({ label, ...(role && { role }), takes: [] })),
});
const base: Shot = {
  id: 'shot-a',
  title: 'The hat goes',
  fps: 24,
  sizePx: [1920, 1080],
  levels: [bare(figure), bare(hat)],
};

const ines: Person = { id: 'p1', name: 'Ines', role: 'director' };

async function open(shelf: Shelf, clock = handClock(), who = () => ines): Promise<Ledger> {
  return openLedger({
    shelf,
    clock,
    person: who,
    start: (await shelf.shot(base.id)) ?? base,
    lacking: await shelf.lacking(base.id),
    entries: await shelf.entries(base.id),
    history: noHistory,
  });
}

async function shelfWithShot(): Promise<Shelf> {
  const shelf = memoryShelf();
  await putShot(shelf, base);
  return shelf;
}

const levelOf = (ledger: Ledger): Level => levelNamed(ledger.shot.value, 'figure') as Level;
const roleOf = (ledger: Ledger, label: string): string | undefined =>
  drawingLabelled(levelOf(ledger), label)?.role;

it('an edit is seen at once, kept as unsent, and taken back as one', async () => {
  const shelf = await shelfWithShot();
  const ledger = await open(shelf);
  const edit = roleEdit(levelOf(ledger), new Map([['2', 'key']]));
  if (!edit) throw new Error('nothing changed');
  ledger.edit(edit);
  expect(roleOf(ledger, '2')).toBe('key');
  await ledger.flush();
  expect((await shelf.marked('unsent')).map(({ body }) => body)).toEqual([
    { kind: 'role', level: 'figure', drawing: '2', role: 'key' },
  ]);
  ledger.undo();
  expect(roleOf(ledger, '2')).toBe('inbetween');
  ledger.redo();
  expect(roleOf(ledger, '2')).toBe('key');
  await ledger.flush();
  expect(roleOf(await open(shelf), '2')).toBe('key');
});

it('a whole sheet on ones comes back to what it was', async () => {
  const ledger = await open(await shelfWithShot());
  const before = levelOf(ledger).exposures;
  const edit = exposureEdit(levelOf(ledger), allOn(before, 1), 'on ones');
  if (!edit) throw new Error('nothing changed');
  ledger.edit(edit);
  expect(levelOf(ledger).exposures).toEqual(allOn(before, 1));
  ledger.undo();
  expect(levelOf(ledger).exposures).toEqual(before);
});

it('a title that waits to be kept takes nothing away that came meanwhile', async () => {
  const memory = await shelfWithShot();
  let full = true;
  const shelf: Shelf = {
    ...memory,
    addEntries: (...added) =>
      full ? Promise.reject(new ShelfError('full', 'Full.')) : memory.addEntries(...added),
  };
  const ledger = await open(shelf);
  const edit = factsEdit(ledger.shot.value, { title: 'The hat is gone', fps: 24 });
  if (!edit) throw new Error('nothing changed');
  ledger.edit(edit);
  await ledger.flush();
  expect(ledger.saved.value).toBe('not saved');
  const shadow = bare({ ...hat, name: 'shadow' });
  await putShot(memory, { ...base, levels: [...base.levels, shadow] });
  full = false;
  await ledger.flush();
  const kept = await memory.shot(base.id);
  expect(kept?.title).toBe('The hat is gone');
  expect(kept?.levels.map(({ name }) => name)).toEqual([...base.levels.map(({ name }) => name), 'shadow']);
  await soon(() => expect(ledger.shot.value).toEqual(kept));
});

it('title and rate are edits too', async () => {
  const shelf = await shelfWithShot();
  const ledger = await open(shelf);
  const edit = factsEdit(ledger.shot.value, { title: 'The hat is gone', fps: 25 });
  if (!edit) throw new Error('nothing changed');
  ledger.edit(edit);
  await ledger.flush();
  expect((await shelf.shot(base.id))?.fps).toBe(25);
  ledger.undo();
  await ledger.flush();
  expect(await shelf.shot(base.id)).toMatchObject({ title: 'The hat goes', fps: 24 });
});

it('an edit that cannot be kept stays on the screen, is told, and is kept when that works again', async () => {
  const shelf = await shelfWithShot();
  let full = true;
  const failing: Shelf = {
    ...shelf,
    addEntries: (entries, sent) =>
      full
        ? Promise.reject(new ShelfError('full', 'This tablet has no room left.'))
        : shelf.addEntries(entries, sent),
  };
  const ledger = await open(failing);
  const edit = roleEdit(levelOf(ledger), new Map([['7', 'breakdown']]));
  if (!edit) throw new Error('nothing changed');
  ledger.edit(edit);
  await ledger.flush();
  expect([ledger.saved.value, ledger.trouble.value]).toEqual(['not saved', 'This tablet has no room left.']);
  expect([roleOf(ledger, '7'), ledger.waiting.value.length]).toEqual(['breakdown', 1]);
  full = false;
  await ledger.flush();
  expect([ledger.saved.value, ledger.waiting.value.length]).toEqual(['saved', 0]);
  expect(await shelf.marked('unsent')).toHaveLength(1);
});

it('what could not be kept is tried again by itself, after the desk is closed too', async () => {
  const shelf = await shelfWithShot();
  let tries = 0;
  const failing: Shelf = {
    ...shelf,
    addEntries: (entries, sent) =>
      ++tries < 4
        ? Promise.reject(new ShelfError('full', 'This tablet has no room left.'))
        : shelf.addEntries(entries, sent),
  };
  const clock = handClock();
  const ledger = await open(failing, clock);
  ledger.write([{ kind: 'role', level: 'figure', drawing: '2', role: 'key' }]);
  await soon(() => expect(ledger.saved.value).toBe('not saved'));
  ledger.close();
  for (let n = 2; n <= 4; n++) {
    clock.pass(60_000);
    await soon(() => expect(tries).toBe(n));
    await soon(() => expect(ledger.saved.value).toBe(n < 4 ? 'not saved' : 'saved'));
  }
  expect(await shelf.marked('unsent')).toHaveLength(1);
  clock.pass(600_000);
  expect(tries).toBe(4);
});

it('stamps grow, so that an undo wins over what it undoes even with a clock that stands still', async () => {
  const shelf = await shelfWithShot();
  const ledger = await open(shelf);
  const edit = roleEdit(levelOf(ledger), new Map([['2', 'key']]));
  if (!edit) throw new Error('nothing changed');
  for (let n = 0; n < 5; n++) {
    if (n === 0) ledger.edit(edit);
    else if (n % 2 === 1) ledger.undo();
    else ledger.redo();
  }
  await ledger.flush();
  expect(roleOf(await open(shelf), '2')).toBe('key');
});

it('what the person may not write is refused with a sentence, and nothing of it is written', async () => {
  const shelf = await shelfWithShot();
  let who: Person = { id: 'p2', name: 'Jo', role: 'artist' };
  const ledger = await open(shelf, handClock(), () => who);
  const brought = ledger.entries.value;
  const edit = roleEdit(levelOf(ledger), new Map([['2', 'key']]));
  if (!edit) throw new Error('nothing changed');
  const refused = { may: false, code: 'role', reason: expect.stringMatching(/^An artist's pass .*\.$/) };
  expect(ledger.edit(edit)).toEqual(refused);
  // One body of several is enough.
  const clean = { kind: 'drawing state', level: 'figure', drawing: '2', state: 'clean' } as const;
  expect(ledger.write([clean, { ...clean, state: 'approved' }])).toEqual(refused);
  expect(ledger.say('2 is approved', [{ ...clean, state: 'approved' }])).toEqual(refused);
  await ledger.flush();
  const now = [ledger.entries.value, ledger.history.value, await shelf.marked('unsent')];
  expect(now).toEqual([brought, noHistory, []]);
  const said = (): number => ledger.entries.value.length - brought.length;
  expect(ledger.say('2 is clean', [clean])).toEqual({ may: true });
  expect(said()).toBe(1);

  // The tablet is handed on: what another said is not the next one's to undo, and stays to be undone.
  who = { id: 'p3', name: 'Mo', role: 'artist' };
  expect(ledger.undo()?.answer).toMatchObject({ may: false, code: 'owner' });
  expect([said(), ledger.history.value.done.length]).toEqual([1, 1]);
  who = { id: 'p2', name: 'Jo', role: 'artist' };
  expect(ledger.undo()?.answer).toEqual({ may: true });
  expect([said(), ledger.history.value.undone.length]).toEqual([2, 1]);
});

it('what is kept beside the shot makes nothing anew, what another tab says does', async () => {
  const shelf = await shelfWithShot();
  const ledger = await open(shelf);
  const title = factsEdit(ledger.shot.value, { title: 'The hat comes back', fps: 24 });
  if (!title) throw new Error('nothing changed');
  ledger.edit(title);
  await ledger.flush();
  const entries = ledger.entries.value;
  const read = vi.spyOn(shelf, 'entries');
  await shelf.keepValue('findings of shot-a', [1, 2, 3]);
  expect(read).not.toHaveBeenCalled();
  // A mark that changes is read, and nothing of what is drawn follows from it.
  await shelf.mark(await shelf.marked('unsent'), 'sent');
  await vi.waitFor(() => expect(read).toHaveBeenCalled());
  await Promise.all(read.mock.results.map(({ value }) => value));
  await new Promise((resolve) => setTimeout(resolve));
  expect(ledger.entries.value).toBe(entries);
  const other = await open(shelf);
  const edit = roleEdit(levelOf(other), new Map([['2', 'key']]));
  if (!edit) throw new Error('nothing changed');
  other.write(edit.bodies, ['of another tab']);
  await other.flush();
  await soon(() => expect(roleOf(ledger, '2')).toBe('key'));
});
