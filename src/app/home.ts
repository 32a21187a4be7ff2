/** What the shell holds for as long as the page lives: the shelf, its shots, its health. */
import { type ReadonlySignal, signal } from '@preact/signals';
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
}

export function createHome(shelf: Shelf): Home {
  const shots = signal<readonly Shot[] | undefined>(undefined);
  const usage = signal<Usage | undefined>(undefined);
  const health = signal<'saved' | 'pending' | 'not saved'>('saved');
  const trouble = signal('');
  const tell = (error: unknown): void => {
    trouble.value = error instanceof Error ? error.message : String(error);
  };
  async function look(): Promise<void> {
    try {
      shots.value = await shelf.shots();
      usage.value = await shelf.usage();
      trouble.value = '';
    } catch (error) {
      tell(error);
    }
  }
  shelf.onChange((change) => {
    if (change.kind !== 'values') void look();
  });
  shelf.onHealth((now) => {
    health.value = now;
  });
  void look();
  return { shelf, shots, usage, health, trouble, tell, look };
}
