/** The owner's: who may come in, a new code for someone with its QR code, and the door shut again. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { Person } from '../../note/entry.ts';
import type { GivenPass } from '../../sync/studio.ts';
import type { Sync } from '../../sync/sync.ts';
import { joinLink } from './join-link.ts';
import { QrCode } from './qr-code.tsx';
import { sentenceOf } from './sentence.ts';

const roles: readonly (readonly [Person['role'], string])[] = [
  ['artist', 'pins, answers, says fixed'],
  ['director', 'all of that; approves, reopens, withdraws'],
  ['assistant', 'pins, answers, sets roles, charts and exposures'],
];

export function Passes({ sync }: { sync: Sync }): JSX.Element {
  const passes = useSignal<readonly GivenPass[] | undefined>(undefined);
  const trouble = useSignal('');
  const name = useSignal('');
  const role = useSignal<Person['role']>('artist');
  const made = useSignal<{ readonly name: string; readonly code: string; readonly link: string } | undefined>(
    undefined,
  );
  const asked = useSignal<string | undefined>(undefined);

  const attempt = async (work: () => Promise<void>): Promise<void> => {
    trouble.value = '';
    try {
      await work();
    } catch (error) {
      trouble.value = `${sentenceOf(error)} The passes are as they were.`;
      return;
    }
    try {
      passes.value = await sync.passes();
    } catch (error) {
      trouble.value = sentenceOf(error);
    }
  };
  useEffect(() => void attempt(() => Promise.resolve()), [sync]);
  const make = (): Promise<void> =>
    attempt(async () => {
      const { code, urls } = await sync.makePass(name.peek().trim(), role.peek());
      const link = joinLink(code, new URL('./', document.baseURI), urls);
      made.value = { name: name.peek().trim(), code, link };
      name.value = '';
    });

  return (
    <section class="passes" aria-labelledby="passes">
      <h2 id="passes">Passes</h2>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void make();
        }}
      >
        <label class="field">
          Name
          <input
            type="text"
            required
            maxLength={200}
            autocomplete="off"
            value={name.value}
            onInput={(event) => {
              name.value = event.currentTarget.value;
            }}
          />
        </label>
        <fieldset class="choice">
          <legend>Role</legend>
          <div class="choice-row">
            {roles.map(([which, may]) => (
              <button
                key={which}
                type="button"
                title={may}
                aria-pressed={role.value === which}
                onClick={() => {
                  role.value = which;
                }}
              >
                {which}
              </button>
            ))}
          </div>
          <p class="hint">{roles.find(([which]) => which === role.value)?.[1]}</p>
        </fieldset>
        <button type="submit" class="button first" disabled={name.value.trim() === ''}>
          Make a code
        </button>
      </form>
      {made.value && <NewCode {...made.value} />}
      {trouble.value && <p role="alert">{trouble}</p>}
      <ul class="pass-list">
        {passes.value?.map((pass) => (
          <li key={pass.id}>
            <span class="offered-title">{pass.name}</span>
            <span>
              {pass.role}
              {pass.owner && ', owner'} · {standing(pass)}
            </span>
            {pass.revokedMs === undefined &&
              (asked.value === pass.id ? (
                <span class="carry">
                  <button
                    type="button"
                    class="button"
                    onClick={() => {
                      asked.value = undefined;
                      void attempt(() => sync.revokePass(pass.id));
                    }}
                  >
                    Revoke {pass.name}’s pass
                  </button>
                  <button
                    type="button"
                    class="button"
                    onClick={() => {
                      asked.value = undefined;
                    }}
                  >
                    Leave it
                  </button>
                </span>
              ) : (
                <button
                  type="button"
                  class="in-text"
                  aria-label={`Revoke the pass of ${pass.name}`}
                  onClick={() => {
                    asked.value = pass.id;
                  }}
                >
                  Revoke
                </button>
              ))}
          </li>
        ))}
      </ul>
    </section>
  );
}

function standing({ revokedMs, joinedMs }: GivenPass): string {
  const day = (ms: number): string => new Date(ms).toLocaleDateString();
  if (revokedMs !== undefined) return `revoked ${day(revokedMs)}`;
  return joinedMs === undefined ? 'not come in yet' : `came in ${day(joinedMs)}`;
}

function NewCode({ name, code, link }: { name: string; code: string; link: string }): JSX.Element {
  const place = useRef<HTMLDivElement>(null);
  // It comes below the button, which on a tablet is below the edge of the screen.
  useEffect(() => place.current?.scrollIntoView({ block: 'nearest' }), [code]);
  return (
    <div class="new-code" role="status" ref={place}>
      <QrCode text={link} label={`QR code of the link that lets ${name} in`} />
      <div>
        <p>
          For <b>{name}</b>, once, within a week. It is shown only now:
        </p>
        <p class="code">{code}</p>
        <p class="link">{link}</p>
        <p class="hint">Scan it with the tablet, or type it in the installed app, under “The studio”.</p>
      </div>
    </div>
  );
}
