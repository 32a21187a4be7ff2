/** Writes a shot out as a zip, with its edits: made first, then saved or shared from a tap of its own. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { GiveFile } from '../desk/give-file.tsx';
import { sentenceOf } from '../error/sentence.ts';
import { fileName } from '../export/file-name.ts';
import type { Shot } from '../shot/model.ts';
import type { Home } from './home.ts';
import { sizeWords } from './sizes.ts';

type Writing =
  | { readonly at: 'writing'; readonly share: number }
  | { readonly at: 'ready'; readonly file: File }
  | { readonly at: 'failed'; readonly says: string };

export function WriteOut({ home, shot, close }: { home: Home; shot: Shot; close: () => void }): JSX.Element {
  const state = useSignal<Writing>({ at: 'writing', share: 0 });
  useEffect(() => {
    const gone = new AbortController();
    make(home, shot, gone.signal, (share) => {
      state.value = { at: 'writing', share };
    }).then(
      (file) => {
        state.value = { at: 'ready', file };
      },
      (error: unknown) => {
        if (!gone.signal.aborted) {
          state.value = { at: 'failed', says: sentenceOf(error) };
        }
      },
    );
    return () => gone.abort();
  }, [home, shot.id, state]);

  const now = state.value;
  return (
    <p class="shot-ask">
      {now.at === 'writing' && (
        <>
          <span>Writing “{shot.title}” out …</span>
          <progress max={1} value={now.share} aria-label="Written" />
          <button type="button" class="button" onClick={close}>
            Stop
          </button>
        </>
      )}
      {now.at === 'ready' && (
        <GiveFile
          file={now.file}
          says={`${now.file.name}, ${sizeWords(now.file.size)}, is ready.`}
          close={close}
        />
      )}
      {now.at === 'failed' && (
        <>
          <span role="alert">{now.says} The shot on the shelf is as it was.</span>
          <button type="button" class="button" onClick={close}>
            Close
          </button>
        </>
      )}
    </p>
  );
}

async function make(
  home: Home,
  shot: Shot,
  signal: AbortSignal,
  told: (share: number) => void,
): Promise<File> {
  const { writeShotZip } = await import('../intake/write-shot.ts');
  const stream = writeShotZip(shot, (sha256) => home.shelf.file(sha256), {
    signal,
    onProgress: (doneFiles, totalFiles) => told(doneFiles / Math.max(1, totalFiles)),
  });
  const blob = await new Response(stream).blob();
  return new File([blob], fileName(`${shot.title}.zip`), { type: 'application/zip' });
}
