/** Shots as their entries make them, made anew when one of those arrives. */
import { shotOf } from '../note/shot-of.ts';
import type { Shot } from '../shot/model.ts';
import type { ShotStore } from './store/types.ts';

export interface Shots {
  /** By id, in its order. */
  all(): Shot[];
}

export function shotsIn(store: ShotStore): Shots {
  const made = new Map<string, { readonly last: number; readonly shot: Shot | undefined }>();
  return {
    all() {
      const shots: Shot[] = [];
      for (const [id, last] of store.paperShots()) {
        const known = made.get(id);
        const now = known?.last === last ? known : { last, shot: shotOf(id, store.paper(id)) };
        made.set(id, now);
        if (now.shot) shots.push(now.shot);
      }
      return shots;
    },
  };
}
