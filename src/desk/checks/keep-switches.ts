/** What is switched on stays so on this tablet, from shot to shot; the paint test is for now only. */
import { effect } from '@preact/signals';
import * as v from 'valibot';
import type { Session } from '../session.ts';
import { lineOverlays, switchesOf } from './switches.ts';

const key = 'checks shown';
const keptSchema = v.object({ over: v.picklist(lineOverlays), curves: v.boolean() });

/** Returns what ends it. */
export function keepSwitches(session: Session): () => void {
  const { over, curves } = switchesOf(session);
  let ended = false;
  let stop: (() => void) | undefined;
  const read = session.shelf.value(key).catch(() => undefined);
  void read.then((value) => {
    if (ended) return;
    const kept = v.safeParse(keptSchema, value);
    // A hand that was faster than the shelf has said what it wants.
    if (kept.success && over.peek() === 'none' && !curves.peek()) {
      over.value = kept.output.over;
      curves.value = kept.output.curves;
    }
    let last = JSON.stringify({ over: over.peek(), curves: curves.peek() });
    stop = effect(() => {
      const now = { over: over.value, curves: curves.value };
      if (JSON.stringify(now) === last) return;
      last = JSON.stringify(now);
      // Convenience: that it could not be kept is told by the shelf's health.
      void session.shelf.keepValue(key, now).catch(() => undefined);
    });
  });
  return () => {
    ended = true;
    stop?.();
  };
}
