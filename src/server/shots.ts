/** Shots as their entries make them, made anew when one of those arrives. */
import { shotOf } from '../note/shot-of.ts';
import { imagesOf } from '../shot/images-of.ts';
import type { OfferedShot } from '../wire/shots.ts';
import type { EntryStore, ShotStore } from './store/types.ts';

export interface Shots {
  /** Every shot of which there is a drawing, in short; by title, then id. */
  offered(): OfferedShot[];
}

type Projection = Omit<OfferedShot, 'last' | 'lastId' | 'inFolder'>;

export function shotsIn(store: ShotStore & EntryStore): Shots {
  const made = new Map<string, { readonly at: number; readonly shot: Projection | undefined }>();
  return {
    offered() {
      const inFolder = new Set(store.folders().values());
      const shots: OfferedShot[] = [];
      for (const [id, at] of store.paperShots()) {
        const known = made.get(id);
        const now = known?.at === at ? known : { at, shot: project(id, at, store) };
        made.set(id, now);
        if (!now.shot) continue;
        const last = store.last(id);
        shots.push({ ...now.shot, last, lastId: store.idAt(id, last), inFolder: inFolder.has(id) });
      }
      return shots.sort((a, b) => compare(a.title, b.title) || compare(a.id, b.id));
    },
  };
}

function project(id: string, at: number, store: ShotStore): Projection | undefined {
  const shot = shotOf(id, store.paper(id));
  if (!shot) return undefined;
  const drawings = shot.levels.flatMap((level) => level.drawings);
  return {
    id,
    title: shot.title,
    version: String(at),
    drawings: drawings.length,
    clean: drawings.filter(({ takes }) => takes.length > 0).length,
    byteLength: imagesOf(shot).reduce((sum, { byteLength }) => sum + byteLength, 0),
  };
}

const compare = (a: string, b: string): number => (a < b ? -1 : Number(a > b));
