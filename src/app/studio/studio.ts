/** This tablet's tie to the studio: sync is fetched after the shelf stands, and pictures are made in intake's worker. */
import { effect, type ReadonlySignal, signal } from '@preact/signals';
import { setPerson } from '../../desk/table.ts';
import { restingMaker } from '../../intake/resting-maker.ts';
import type { Shelf } from '../../shelf/types.ts';
import type { Sync } from '../../sync/sync.ts';

export interface Studio {
  /** Undefined until its code is here: everything is kept on this tablet meanwhile. */
  readonly sync: ReadonlySignal<Sync | undefined>;
  /** Asks for a round of sync, when there is any. */
  readonly nudge: () => void;
}

export function openStudio(shelf: Shelf): Studio {
  const sync = signal<Sync | undefined>(undefined);
  const maker = restingMaker(async () => (await import('../../intake/page.ts')).createImageMaker({}));

  async function open(): Promise<void> {
    const { openSync } = await import('../../sync/sync.ts');
    const opened = openSync({
      shelf,
      base: new URL('./', document.baseURI),
      async makeImage(bytes, ref) {
        const { file, thumb, flip } = await maker.make(bytes);
        return { ref, file, thumb, flip };
      },
    });
    // Who writes here is who holds the pass.
    effect(() => {
      if (opened.person.value) setPerson(opened.person.value);
    });
    sync.value = opened;
  }
  // Without it the app works as one that has no studio; the next start tries again.
  void open().catch(() => undefined);
  return { sync, nudge: () => void sync.peek()?.nudge() };
}
