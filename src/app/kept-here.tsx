/** What is kept on this tablet, how much room is left, whether it stays, and how to make it stay. */
import { type ReadonlySignal, useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { install, installState } from '../sync/install.ts';
import type { OfflineReady } from '../sync/update.ts';
import type { Home } from './home.ts';
import { keptWords } from './sizes.ts';

const offlineWords: Readonly<Record<OfflineReady, string>> = {
  no: 'This browser does not keep the app itself: it opens only with a network.',
  keeping: 'The app is being kept for work without a network; stay connected for a moment.',
  'in part':
    'The shelf and the desk open without a network; checks, lists or printing may not yet: open the app once more while connected.',
  whole: 'The whole app opens without a network.',
};

interface KeptHereProps {
  readonly home: Home;
  readonly offline: ReadonlySignal<OfflineReady>;
}

export function KeptHere({ home, offline }: KeptHereProps): JSX.Element | null {
  const refused = useSignal(false);
  const usage = home.usage.value;
  if (!usage) return null;
  const persist = async (): Promise<void> => {
    try {
      refused.value = !(await home.shelf.persist());
      await home.look();
    } catch (error) {
      home.tell(error);
    }
  };
  return (
    <div class="kept-here">
      <p>
        {keptWords(usage)}{' '}
        {usage.persistent
          ? 'The browser has promised to keep it.'
          : 'The browser may clear it when room runs out or the app is not used for long.'}
      </p>
      {!import.meta.env.DEV && <p data-offline={offline.value}>{offlineWords[offline.value]}</p>}
      {!usage.persistent && (
        <p>
          <button type="button" class="button" onClick={() => void persist()}>
            Ask the browser to keep it
          </button>
          {installState.value === 'offered' && (
            <button type="button" class="button" onClick={() => void install().then(home.look, home.tell)}>
              Install Fairpeg
            </button>
          )}
        </p>
      )}
      {installState.value === 'by hand' && (
        <p>
          On an iPad, storage is kept for apps on the home screen: tap Share, then “Add to Home Screen”, and
          open Fairpeg from there before you take drawings in.
        </p>
      )}
      {refused.value && !usage.persistent && (
        <p role="status">
          The browser said no for now. Installing Fairpeg, or using it for some days, mostly changes its mind.
          Until then write finished shots out.
        </p>
      )}
    </div>
  );
}
