/** Settings go when what they set is over. Pure but for the watcher. */
import { effect } from '@preact/signals';
import { type DeskModel, heldOn } from './model.ts';
import type { Session } from './session.ts';

/** Whether there is nothing left to set in a strip. */
export function stripIsOver(strip: string, model: DeskModel): boolean {
  switch (strip) {
    case 'underlay':
    case 'wipe':
      return model.way !== strip;
    case 'neighbours':
      return model.before + model.after === 0;
    case 'roll':
      return model.set !== 'held' || heldOn(model).length < 2;
    default:
      return false;
  }
}

/** Until the returned function is called. */
export const closeStripsThatAreOver = ({ strip, model }: Session): (() => void) =>
  effect(() => {
    const open = strip.value;
    if (open !== undefined && stripIsOver(open, model.value)) strip.value = undefined;
  });
