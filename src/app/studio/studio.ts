/** This tablet's tie to the studio: sync is fetched after the shelf stands, and pictures are made in intake's worker. */
import { effect, type ReadonlySignal, signal } from '@preact/signals';
import { holdByPass } from '../../desk/table.ts';
import type { ImageMaker } from '../../intake/types.ts';
import type { Shelf } from '../../shelf/types.ts';
import type { Sync } from '../../sync/sync.ts';

export interface Studio {
  /** Undefined until its code is here: everything is kept on this tablet meanwhile. */
  readonly sync: ReadonlySignal<Sync | undefined>;
  /** Asks for a round of sync, when there is any. */
  readonly nudge: () => void;
}

/** Longer than a network takes to bring the next picture. */
const idleMs = 20_000;

export function openStudio(shelf: Shelf): Studio {
  const sync = signal<Sync | undefined>(undefined);
  /** Started by the first picture that comes. */
  let maker: ImageMaker | undefined;
  const makerOf = async (): Promise<ImageMaker> => {
    const { createImageMaker } = await import('../../intake/page.ts');
    return (maker ??= createImageMaker({ idleMs }));
  };

  async function open(): Promise<void> {
    const { openSync } = await import('../../sync/sync.ts');
    const opened = openSync({
      shelf,
      base: new URL('./', document.baseURI),
      async makeImage(bytes, ref) {
        const { file, thumb, flip } = await (await makerOf()).make(bytes);
        return { ref, file, thumb, flip };
      },
    });
    // Who writes here is who holds the pass.
    effect(() => {
      if (opened.person.value) holdByPass(opened.person.value);
    });
    sync.value = opened;
  }
  // Without it the app works as one that has no studio; the next start tries again.
  void open().catch(() => undefined);
  return { sync, nudge: () => void sync.peek()?.nudge() };
}
