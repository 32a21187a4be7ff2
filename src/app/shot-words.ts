/** What the shelf says of a shot, and which drawings stand for it. Pure. */
import type { WaitKind } from '../desk/wait-marks.tsx';
import type { Person } from '../note/entry.ts';
import { isToLookAt } from '../note/waits.ts';
import { drawingAt, firstFrames, labelsInScreenOrder, lastFrame } from '../shot/exposures.ts';
import { groupBy } from '../shot/group-by.ts';
import type { Drawing, ImageRef, Role, Shot } from '../shot/model.ts';
import { cleanOf, type Retaken } from '../shot/takes.ts';
import type { Done } from './done-chart.tsx';

export interface Standing {
  readonly drawing: Drawing;
  /** What is on the paper where it starts: all levels, the lowest first, clean where there is a clean. */
  readonly images: readonly ImageRef[];
}

/** The key drawings in the order of the screen; where no role is known, drawings evenly chosen. */
export function standingFor(shot: Shot, most: number): Standing[] {
  const level = shot.levels.toSorted((a, b) => b.drawings.length - a.drawings.length)[0];
  if (!level) return [];
  const byLabel = new Map(level.drawings.map((drawing) => [drawing.label, drawing]));
  const inOrder = labelsInScreenOrder(level).flatMap((label) => byLabel.get(label) ?? []);
  const keys = inOrder.filter(({ role }) => role === 'key');
  return evenly(keys.length > 0 ? keys : inOrder, most).map((drawing) => {
    const frame = firstFrames(level).get(drawing.label);
    const images = shot.levels.flatMap((other) => {
      const label = other === level ? drawing.label : drawingAt(other, frame ?? 0);
      const there = other.drawings.find((candidate) => candidate.label === label);
      return there ? (cleanOf(there) ?? there.rough ?? []) : [];
    });
    return { drawing, images };
  });
}

function evenly<T>(items: readonly T[], most: number): T[] {
  if (items.length <= most) return [...items];
  if (most === 1) return items.slice(0, 1);
  return Array.from(
    { length: most },
    (_, n) => items[Math.round((n * (items.length - 1)) / (most - 1))] as T,
  );
}

const plural: Readonly<Record<Role, string>> = {
  key: 'keys',
  breakdown: 'breakdowns',
  inbetween: 'in-betweens',
};

/** `12 of 17 clean, 3 of them approved: keys 4 of 4, breakdowns 3 of 3, in-betweens 5 of 10`. */
export function doneWords(done: readonly Done[]): string {
  const isApproved = ({ state }: Done): boolean => state === 'approved';
  const count = (list: readonly Done[]): string =>
    `${list.filter((one) => one.state === 'clean' || isApproved(one)).length} of ${list.length}`;
  const approved = done.filter(isApproved).length;
  const byRole = (Object.keys(plural) as Role[]).flatMap((role) => {
    const list = done.filter(({ drawing }) => drawing.role === role);
    return list.length > 0 ? [`${plural[role]} ${count(list)}`] : [];
  });
  return `${count(done)} clean${approved > 0 ? `, ${approved} of them approved` : ''}${byRole.length > 0 ? `: ${byRole.join(', ')}` : ''}`;
}

export function lengthWords(shot: Shot): string {
  const frames = lastFrame(shot);
  const seconds = Math.round((frames / shot.fps) * 10) / 10;
  return frames === 0 ? 'nothing on the sheet' : `${frames} frames, ${seconds} s`;
}

/** Numbers written out in one line; the rest is counted. */
const mostWritten = 8;

const onWords = (labels: readonly string[]): string =>
  labels.length <= mostWritten
    ? labels.join(', ')
    : `${labels.slice(0, mostWritten).join(', ')} and ${labels.length - mostWritten} more`;

/** `To mend: 2 notes on 5, 13`, findings, and `To look at: 13, 22`; what waits for this role first. */
export function waitLines(
  done: readonly Done[],
  role: Person['role'],
): readonly { readonly kind: WaitKind; readonly words: string }[] {
  const those = (is: (waits: NonNullable<Done['waits']>) => boolean): string[] =>
    done.flatMap(({ drawing, waits }) => (waits && is(waits) ? [drawing.label] : []));
  const noted = those(({ notes }) => notes > 0);
  const found = those(({ findings }) => findings > 0);
  const look = those(isToLookAt);
  const mend = [
    ...(noted.length > 0 ? [{ kind: 'note' as const, words: `To mend, by notes: ${onWords(noted)}` }] : []),
    ...(found.length > 0
      ? [{ kind: 'finding' as const, words: `Findings of the checks: ${onWords(found)}` }]
      : []),
  ];
  const seen = look.length > 0 ? [{ kind: 'look' as const, words: `To look at: ${onWords(look)}` }] : [];
  return role === 'director' ? [...seen, ...mend] : [...mend, ...seen];
}

/** `13 and 22: take 2; hat 4: take 3`. */
export function retakenWords(retaken: readonly Retaken[]): string {
  return [...groupBy(retaken, ({ take }) => take)]
    .map(([take, those]) => {
      const names = those.map(({ level, drawing }) => (level ? `${level} ${drawing}` : drawing));
      const words = names.length === 2 ? names.join(' and ') : onWords(names);
      return `${words}: take ${take}`;
    })
    .join('; ');
}
