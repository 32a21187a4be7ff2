/**
 * A file that is ready, handed out from a tap of its own: shared where the tablet can (an installed iPad app
 * cannot save by a link), or saved.
 */
import type { JSX } from 'preact';

interface GiveFileProps {
  readonly file: File;
  readonly says: string;
  readonly close: () => void;
}

export function GiveFile({ file, says, close }: GiveFileProps): JSX.Element {
  return (
    <>
      <span>{says}</span>
      {navigator.canShare?.({ files: [file] }) && (
        <button
          type="button"
          class="button first"
          onClick={() => void navigator.share({ files: [file] }).then(close, () => undefined)}
        >
          Share
        </button>
      )}
      <button
        type="button"
        class="button"
        onClick={() => {
          save(file);
          close();
        }}
      >
        Save
      </button>
    </>
  );
}

function save(file: File): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(file);
  link.download = file.name;
  link.click();
  // The browser reads the address after this returns.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
