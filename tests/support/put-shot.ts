/** A shot on a shelf, as intake puts it there: its entries said, its pictures kept before. */
import type { Person } from '../../src/note/entry.ts';
import type { Author } from '../../src/note/written.ts';
import type { Shelf } from '../../src/shelf/types.ts';
import type { Shot } from '../../src/shot/model.ts';

const ines: Person = { id: 'p-ines', name: 'Ines', role: 'assistant' };
let said = 0;

export const author = (writer: Person = ines): Author => ({
  writer,
  newId: () => `put-${++said}-${crypto.randomUUID()}`,
  nowMs: 1_790_000_000_000 + said,
});

/** What the shelf's shot of that id becomes: nothing is taken away from it. */
export const putShot = (shelf: Shelf, shot: Shot, writer?: Person): Promise<Shot> =>
  shelf.changeShot(shot.id, () => shot, author(writer));
