/** The decode queue: what to decode, in which order, a few at once. */
import type { ImageRef } from '../shot/model.ts';
import { type Room, type SheetKey, sheetKey } from './sheets.ts';
import type { Quality } from './types.ts';

/** Two or three at once keep decoder threads busy without piling up memory. */
const AT_ONCE = 3;
/** The drawing under the hand need not wait for a slot: one more may run for it. */
const AT_ONCE_URGENT = 4;
/** A picture that could not be had is asked for again after so long, then after twice as long each time. */
const AGAIN_MS = 500;
const AGAIN_MOST_MS = 16_000;

export interface Want {
  readonly image: ImageRef;
  readonly quality: Quality;
}

export interface Decoding {
  /** Replaces the plan, dearest first; the first `urgent` of it are for what is asked for now. */
  readonly plan: (wants: readonly Want[], urgent: number) => void;
  readonly rank: (key: SheetKey) => number;
  /** Told not to be kept by the source, or failed, since the last `retry`. */
  readonly absent: (key: SheetKey) => boolean;
  readonly retry: (images: readonly ImageRef[]) => void;
  readonly stop: () => void;
}

export interface DecodingHooks {
  readonly has: (want: Want, key: SheetKey) => boolean;
  /** Sets room aside; undefined when there is none for it. */
  readonly reserve: (want: Want, key: SheetKey) => Room | undefined;
  readonly release: (room: Room) => void;
  /** Decodes and keeps; resolves to false when the source does not have it. */
  readonly load: (want: Want, key: SheetKey, signal: AbortSignal, room: Room) => Promise<boolean>;
  /** Something was kept, or turned out to be absent. */
  readonly changed: () => void;
}

export function createDecoding(hooks: DecodingHooks): Decoding {
  let wants: readonly Want[] = [];
  let keys: readonly SheetKey[] = [];
  let urgent = 0;
  const ranks = new Map<SheetKey, number>();
  const running = new Map<SheetKey, AbortController>();
  const absent = new Set<SheetKey>();
  /** Of those that failed: how long to wait until each is asked for again. */
  const againMs = new Map<SheetKey, number>();
  const waits = new Map<SheetKey, ReturnType<typeof setTimeout>>();

  /** What failed once (a busy disk, no memory for a moment) need not fail again: the hand may rest on it. */
  function askAgain(key: SheetKey): void {
    const ms = againMs.get(key) ?? AGAIN_MS;
    againMs.set(key, Math.min(2 * ms, AGAIN_MOST_MS));
    clearTimeout(waits.get(key));
    waits.set(
      key,
      setTimeout(() => {
        waits.delete(key);
        absent.delete(key);
        pump();
      }, ms),
    );
  }

  function pump(): void {
    for (const [index, want] of wants.entries()) {
      if (running.size >= (index < urgent ? AT_ONCE_URGENT : AT_ONCE)) return;
      const key = keys[index] as SheetKey;
      if (running.has(key) || absent.has(key) || hooks.has(want, key)) continue;
      // The plan is in order of worth, so when this one finds no room, a later one of its size will not.
      const room = hooks.reserve(want, key);
      if (!room) return;
      void run(want, key, room);
    }
  }

  async function run(want: Want, key: SheetKey, room: Room): Promise<void> {
    const controller = new AbortController();
    running.set(key, controller);
    try {
      const had = await hooks.load(want, key, controller.signal, room);
      if (had) againMs.delete(key);
      else if (!controller.signal.aborted) absent.add(key);
    } catch {
      // A picture that cannot be had counts as absent until it is asked for again.
      if (!controller.signal.aborted) {
        absent.add(key);
        askAgain(key);
      }
    } finally {
      hooks.release(room);
      if (running.get(key) === controller) running.delete(key);
    }
    if (!controller.signal.aborted) hooks.changed();
    // One that was given up leaves room, too, for which another may wait.
    pump();
  }

  return {
    plan(next, urgentCount) {
      wants = next;
      urgent = urgentCount;
      keys = next.map((want) => sheetKey(want.image, want.quality));
      ranks.clear();
      for (const [index, key] of keys.entries()) if (!ranks.has(key)) ranks.set(key, index);
      for (const [key, controller] of running)
        if (!ranks.has(key)) {
          controller.abort();
          running.delete(key);
        }
      pump();
    },
    rank: (key) => ranks.get(key) ?? Number.POSITIVE_INFINITY,
    absent: (key) => absent.has(key),
    retry(images) {
      for (const image of images)
        for (const quality of ['thumb', 'flip', 'full'] as const) absent.delete(sheetKey(image, quality));
    },
    stop() {
      for (const controller of running.values()) controller.abort();
      running.clear();
      for (const wait of waits.values()) clearTimeout(wait);
      waits.clear();
      wants = [];
      ranks.clear();
    },
  };
}
