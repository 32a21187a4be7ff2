/** What the takes of a shot on disk say of its notes: each pair of takes is compared once, one after the other. */

import { flipEdgePx } from '../intake/make-image.ts';
import type { DiskShot } from '../intake/node/read-shot.ts';
import { inkOf } from '../line/ink.ts';
import { takeChange } from '../line/redrawn.ts';
import type { FixRow } from '../note/fix-list.ts';
import type { Notes } from '../note/merge.ts';
import { itemsOf, type TakePair } from '../note/retakes/items.ts';
import {
  type ComparedTakes,
  isTelling,
  verdictAt,
  verdictOf,
  verdictWords,
} from '../note/retakes/verdict.ts';
import type { Shot } from '../shot/model.ts';
import { diskPictures } from './disk-pictures.ts';

export interface RedrawnWords {
  /** In a table: always where it is known. */
  readonly all: (row: FixRow) => string;
  /** In print: where it tells something. */
  readonly telling: (row: FixRow) => string;
}

/** At the size in which a tablet compares them. A picture that cannot be read is said on standard error. */
export async function redrawnOnDisk(
  disk: Pick<DiskShot, 'picture' | 'pathOf'>,
  shot: Shot,
  notes: Notes,
  rows: readonly FixRow[],
): Promise<RedrawnWords> {
  const items = new Map(itemsOf(shot, notes, rows).map((item) => [item.note.id, item]));
  const pictures = diskPictures(disk);
  const compared = new Map<string, ComparedTakes | undefined>();
  for (const { takes } of [...items.values()].flatMap((item) => [item, ...item.others])) {
    if (!takes || compared.has(keyOf(takes))) continue;
    const before = await pictures.pictureOf(takes.older.image, flipEdgePx);
    const after = before && (await pictures.pictureOf(takes.newer.image, flipEdgePx));
    compared.set(
      keyOf(takes),
      after && {
        change: takeChange(inkOf(before), inkOf(after)),
        sizePx: [before.width, before.height],
      },
    );
  }
  const told = (row: FixRow) => {
    const item = items.get(row.id);
    return (
      item &&
      verdictOf(item, (takes) => {
        const found = compared.get(keyOf(takes));
        return found ? verdictAt(found, row.box, row.sizePx) : 'not compared';
      })
    );
  };
  const words = (row: FixRow): string => {
    const summary = told(row);
    if (!summary) return '';
    return verdictWords(summary.verdict, row.onRough ? 'the rough' : 'a take', summary);
  };
  return {
    all: words,
    telling: (row) => {
      const summary = told(row);
      return summary && isTelling(summary, row.state) ? words(row) : '';
    },
  };
}

const keyOf = ({ older, newer }: TakePair): string => `${older.image.sha256} ${newer.image.sha256}`;
