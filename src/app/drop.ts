/**
 * Files dropped on the shelf. The browser empties a drop when its event ends, so folders can only be read
 * by code that is loaded already: it is fetched as soon as something hovers.
 */
import type { Offer } from './take-in.tsx';

type IntakeRoom = typeof import('../intake/page.ts');
let room: IntakeRoom | undefined;

export function expectDrop(): void {
  if (room) return;
  import('../intake/page.ts').then(
    (loaded) => {
      room = loaded;
    },
    // The intake itself loads the room again, and says so when it cannot.
    () => undefined,
  );
}

/** Call it inside the drop event. */
export function filesOfDrop(data: DataTransfer): Parameters<Offer>[0] {
  const found = room?.filesFromDrop(data);
  const loose = [...data.files];
  return async (intake) => (await found) ?? intake.filesFromList(loose);
}
