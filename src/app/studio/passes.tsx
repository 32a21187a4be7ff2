/** The owner's: who may come in, a new code for someone with its QR code, and the door shut again. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { sentenceOf } from '../../error/sentence.ts';
import type { Person } from '../../note/entry.ts';
import type { Sync } from '../../sync/sync.ts';
import type { GivenPass } from '../../wire/people.ts';
import { joinLink } from './join-link.ts';
import { QrCode } from './qr-code.tsx';

const roles: readonly (readonly [Person['role'], string])[] = [
  ['artist', 'pins, answers, says fixed'],
  ['director', 'all of that; approves, reopens, withdraws'],
  ['assistant', 'pins, answers, sets roles, charts and exposures'],
];

/** A code just made. */
interface Made {
  readonly name: string;
  /** For someone who came in already: another tablet, or the same one let in again. */
  readonly again: boolean;
  readonly code: string;
  readonly link: string;
}

export function Passes({ sync }: { sync: Sync }): JSX.Element {
  const passes = useSignal<readonly GivenPass[] | undefined>(undefined);
  const trouble = useSignal('');
  const name = useSignal('');
  const role = useSignal<Person['role']>('artist');
  const made = useSignal<Made | undefined>(undefined);
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
  const make = (whom: Pick<GivenPass, 'name' | 'role' | 'personId'>): Promise<void> =>
    attempt(async () => {
      const { code, urls } = await sync.makePass(whom.name, whom.role, whom.personId);
      const link = joinLink(code, new URL('./', document.baseURI), urls);
      made.value = { name: whom.name, again: whom.personId !== undefined, code, link };
    });
  const makeNew = async (): Promise<void> => {
    const given = name.peek();
    await make({ name: given.trim(), role: role.peek() });
    // Over a slow network the next name may be half typed by then.
    if (trouble.peek() === '' && name.peek() === given) name.value = '';
  };
  /** Came in once, and every pass was taken since. */
  const isOut = ({ personId, revokedMs }: GivenPass): boolean =>
    personId !== undefined &&
    revokedMs !== undefined &&
    !passes.value?.some((other) => other.personId === personId && other.revokedMs === undefined);

  return (
    <section class="passes leaf" aria-labelledby="passes">
      <h2 id="passes">Passes</h2>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void makeNew();
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
          <li key={pass.id} class={pass.revokedMs === undefined ? '' : 'revoked'}>
            <span class="offered-title">{pass.name}</span>
            <span>
              {pass.role}
              {pass.owner && ', owner'} · {standing(pass)}
            </span>
            {isOut(pass) && (
              <button
                type="button"
                class="in-text"
                aria-label={`A code that lets ${pass.name} in again`}
                onClick={() => void make(pass)}
              >
                Let in again
              </button>
            )}
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
                <span class="carry">
                  {pass.personId !== undefined && (
                    <button
                      type="button"
                      class="in-text"
                      aria-label={`A code for another tablet of ${pass.name}`}
                      onClick={() => void make(pass)}
                    >
                      Another tablet
                    </button>
                  )}
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
                </span>
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

function NewCode({ name, again, code, link }: Made): JSX.Element {
  const place = useRef<HTMLDivElement>(null);
  // It comes below the button, which on a tablet is below the edge of the screen.
  useEffect(() => place.current?.scrollIntoView({ block: 'nearest' }), [code]);
  return (
    <div class="new-code" role="status" ref={place}>
      <QrCode text={link} label={`QR code of the link that lets ${name} in`} />
      <div>
        <p>
          For <b>{name}</b>, once, within a week
          {again && '; who comes in with it is the same person as before'}. It is shown only now:
        </p>
        <p class="code">{code}</p>
        <p class="link">{link}</p>
        <p class="hint">Scan it with the tablet, or type it in the installed app, under “The studio”.</p>
      </div>
    </div>
  );
}
