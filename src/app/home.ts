/** What the shell holds for as long as the page lives: the shelf, its shots, its health. */
import { computed, type ReadonlySignal, signal } from '@preact/signals';
import { sentenceOf } from '../error/sentence.ts';
import type { Shelf, Usage } from '../shelf/types.ts';
import type { Shot } from '../shot/model.ts';

export interface Home {
  readonly shelf: Shelf;
  readonly shots: ReadonlySignal<readonly Shot[] | undefined>;
  readonly usage: ReadonlySignal<Usage | undefined>;
  readonly health: ReadonlySignal<'saved' | 'pending' | 'not saved'>;
  /** Something failed that nobody else tells: one sentence. */
  readonly trouble: ReadonlySignal<string>;
  readonly tell: (error: unknown) => void;
  /** Reads shots and usage again. */
  readonly look: () => Promise<void>;
  /** The same, by hand: what was told is settled. */
  readonly again: () => Promise<void>;
}

export function createHome(shelf: Shelf): Home {
  const shots = signal<readonly Shot[] | undefined>(undefined);
  const usage = signal<Usage | undefined>(undefined);
  const health = signal<'saved' | 'pending' | 'not saved'>('saved');
  const told = signal('');
  /** Why the last look failed. A look that works says nothing of what else was told. */
  const unread = signal('');
  const tell = (error: unknown): void => {
    told.value = sentenceOf(error);
  };
  async function lookOnce(): Promise<void> {
    try {
      shots.value = await shelf.shots();
      usage.value = await shelf.usage();
      unread.value = '';
    } catch (error) {
      unread.value = sentenceOf(error);
    }
  }
  let looking: Promise<void> | undefined;
  let next: Promise<void> | undefined;
  /** One after the other, so that an older answer never comes last; what changes meanwhile asks for one more. */
  function look(): Promise<void> {
    if (looking) return (next ??= looking.then(() => look()));
    next = undefined;
    looking = lookOnce().finally(() => {
      looking = undefined;
    });
    return looking;
  }
  shelf.onChange((change) => {
    if (change.kind !== 'values') void look();
  });
  shelf.onHealth((now) => {
    health.value = now;
  });
  void look();
  return {
    shelf,
    shots,
    usage,
    health,
    trouble: computed(() => unread.value || told.value),
    tell,
    look,
    again() {
      told.value = '';
      return look();
    },
  };
}
