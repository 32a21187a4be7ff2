/** Reads what `today.ts` needs of every shot on the shelf, one after the other, and again where something changed. */
import { type ReadonlySignal, signal } from '@preact/signals';
import { knownFindings } from '../../desk/findings.ts';
import { dayOf } from '../../note/pace.ts';
import type { Shot } from '../../shot/model.ts';
import type { Home } from '../home.ts';
import { type Day, type ShotToday, shotToday } from './today.ts';

export interface ReadToday {
  readonly shots: ReadonlySignal<readonly ShotToday[]>;
  /** Shots not read yet. */
  readonly left: ReadonlySignal<number>;
  readonly stop: () => void;
}

const dayNow = (): Day => {
  const now = new Date();
  const utcOffsetMinutes = -now.getTimezoneOffset();
  return { day: dayOf(now.getTime(), utcOffsetMinutes), utcOffsetMinutes };
};

/** A shot that cannot be read is told by the shelf, and left out. */
export function readToday(home: Home): ReadToday {
  const shots = signal<readonly ShotToday[]>([]);
  const left = signal(0);
  const waiting = new Map<string, Shot>();
  const ended = new AbortController();
  let going = false;

  async function read(shot: Shot): Promise<void> {
    const [entries, findings] = await Promise.all([
      home.shelf.entries(shot.id),
      knownFindings(home.shelf, shot),
    ]);
    if (ended.signal.aborted) return;
    const read = shotToday(shot, entries, findings, dayNow());
    shots.value = [...shots.peek().filter((other) => other.shot.id !== shot.id), read];
  }
  async function go(): Promise<void> {
    if (going) return;
    going = true;
    for (let next = firstOf(waiting); next && !ended.signal.aborted; next = firstOf(waiting)) {
      waiting.delete(next.id);
      await read(next).catch(home.tell);
      left.value = waiting.size;
    }
    going = false;
  }
  function ask(which: (shot: Shot) => boolean): void {
    for (const shot of home.shots.peek() ?? []) if (which(shot)) waiting.set(shot.id, shot);
    left.value = waiting.size;
    void go();
  }
  const stopShots = home.shots.subscribe((now) => {
    const kept = new Set(now?.map(({ id }) => id));
    shots.value = shots.peek().filter(({ shot }) => kept.has(shot.id));
    ask(() => true);
  });
  const stopEntries = home.shelf.onChange((change) => {
    if (change.kind === 'entries') ask(({ id }) => (change.shotId ?? id) === id);
  });
  return {
    shots,
    left,
    stop() {
      ended.abort();
      stopShots();
      stopEntries();
    },
  };
}

const firstOf = (waiting: ReadonlyMap<string, Shot>): Shot | undefined => {
  for (const shot of waiting.values()) return shot;
  return undefined;
};
