/** A code lets this tablet in: typed in the installed app, or brought along by the link that was scanned. */
import { type Signal, useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { person } from '../../desk/table.ts';
import { sentenceOf } from '../../error/sentence.ts';
import type { Sync } from '../../sync/sync.ts';

interface JoinProps {
  readonly sync: Sync;
  readonly code: string;
  /** Of whoever shows this: joining changes what else stands there, and the welcome must outlive that. */
  readonly joined: Signal<boolean>;
}

export function Join({ sync, code: given, joined }: JoinProps): JSX.Element {
  const code = useSignal(given);
  const busy = useSignal(false);
  const trouble = useSignal('');
  if (joined.value && sync.link.value !== 'no pass')
    return (
      <p class="leaf" role="status">
        Welcome, {sync.person.value?.name}. The studio knows this tablet now.
      </p>
    );
  const join = async (): Promise<void> => {
    busy.value = true;
    trouble.value = '';
    try {
      await sync.join(code.value.trim(), person.peek().id);
      joined.value = true;
      history.replaceState(undefined, '', '#/studio');
    } catch (error) {
      trouble.value = sentenceOf(error);
    }
    busy.value = false;
  };
  return (
    <form
      class="join leaf"
      onSubmit={(event) => {
        event.preventDefault();
        void join();
      }}
    >
      <h2>Come in with a code</h2>
      <p>
        Whoever runs the studio gives you one: it works once, for one tablet. Type it in the app you will work
        in; on an iPad the app on the home screen and the browser are two.
      </p>
      <p class="join-row">
        <label class="field">
          Code
          <input
            type="text"
            autocomplete="one-time-code"
            autocapitalize="characters"
            spellcheck={false}
            required
            maxLength={64}
            value={code.value}
            onInput={(event) => {
              code.value = event.currentTarget.value;
            }}
          />
        </label>
        <button type="submit" class="button first" disabled={busy.value || code.value.trim() === ''}>
          {busy.value ? 'Asking …' : 'Come in'}
        </button>
      </p>
      {trouble.value && <p role="alert">{trouble} What you drew and wrote is safe on this tablet.</p>}
    </form>
  );
}
