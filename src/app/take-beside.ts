/** Takes what lies beside the drawings of a pack: notes and edits are merged, findings kept for the desk. */
import { keepPackFindings } from '../desk/findings.ts';
import { readPack } from '../export/pack.ts';
import type { BesideFile } from '../intake/types.ts';
import { isOrigin } from '../note/origin.ts';
import type { Shelf } from '../shelf/types.ts';
import type { Shot } from '../shot/model.ts';

export interface Brought {
  /** What somebody said, new to this tablet or here already; not what the shot brought with it. */
  readonly added: number;
  readonly known: number;
  /** One sentence for everything that was left out. */
  readonly odd: readonly string[];
}

/** Rejects with a `ShelfError` when this tablet cannot write. */
export async function takeBeside(shelf: Shelf, shot: Shot, beside: readonly BesideFile[]): Promise<Brought> {
  const { entries, findings, odd } = readPack(shot, beside);
  const had = new Set((await shelf.entries(shot.id)).map(({ id }) => id));
  const fresh = entries.filter(({ id }) => !had.has(id));
  if (fresh.length > 0) await shelf.addEntries(fresh, 'file');
  if (findings.length > 0) await keepPackFindings(shelf, shot.id, findings);
  const said = entries.filter((entry) => !isOrigin(entry));
  const known = said.filter(({ id }) => had.has(id)).length;
  return { added: said.length - known, known, odd };
}
