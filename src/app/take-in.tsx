/** The ways in: files, a folder, a zip; dropping them anywhere on the shelf does the same. */
import type { JSX } from 'preact';
import { useRef } from 'preact/hooks';
import { Icon } from '../desk/icons.tsx';
import type { Shot } from '../shot/model.ts';
import type { startIntake } from './intake-run.ts';

export type Offer = (files: Parameters<typeof startIntake>[0]['files'], into?: Shot) => void;

const canPickFolders = 'webkitdirectory' in HTMLInputElement.prototype;

/** `into`: the shot on the shelf that the drawings are for. */
export function TakeIn({ offer, into }: { offer: Offer; into?: Shot }): JSX.Element {
  const files = useRef<HTMLInputElement>(null);
  const folder = useRef<HTMLInputElement>(null);
  const offerPicked = (input: HTMLInputElement): void => {
    const picked = [...(input.files ?? [])];
    input.value = '';
    if (picked.length > 0) offer(async (intake) => intake.filesFromList(picked), into);
  };
  return (
    <div
      class="take-in"
      role="group"
      aria-label={into ? `Take drawings into ${into.title}` : 'Take drawings in'}
    >
      <input
        ref={files}
        type="file"
        multiple
        hidden
        data-pick="files"
        onChange={(event) => offerPicked(event.currentTarget)}
      />
      <input
        ref={folder}
        type="file"
        multiple
        hidden
        data-pick="folder"
        {...{ webkitdirectory: true }}
        onChange={(event) => offerPicked(event.currentTarget)}
      />
      <button type="button" class="button with-icon" onClick={() => files.current?.click()}>
        <Icon name="files" />
        Drawings or a zip
      </button>
      {canPickFolders && (
        <button type="button" class="button with-icon" onClick={() => folder.current?.click()}>
          <Icon name="folder" />A folder
        </button>
      )}
    </div>
  );
}
