/** The list handed out: chosen, made here, then shared or saved. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { sentenceOf } from '../../error/sentence.ts';
import { drawingKey } from '../../shot/drawing-ref.ts';
import { findingsOf } from '../findings.ts';
import { GiveFile } from '../give-file.tsx';
import type { Session } from '../session.ts';
import { fixesOf } from './fixes-desk.ts';
import { type Form, type Made, makeFile, rowsOn } from './out.ts';

type State =
  | { readonly at: 'choosing' }
  | { readonly at: 'making'; readonly what: string; readonly share: number }
  | ({ readonly at: 'ready' } & Made)
  | { readonly at: 'failed'; readonly says: string };

/** Where letters are written on Letter (common practice, no source). */
const letterLands = new Set(['US', 'CA', 'MX', 'PH', 'CL', 'CO', 'VE']);

export function OutSlip({ session }: { session: Session }): JSX.Element {
  const state = useSignal<State>({ at: 'choosing' });
  const making = useRef<AbortController>(undefined);
  useEffect(() => () => making.current?.abort(), []);
  const again = (): void => {
    making.current?.abort();
    state.value = { at: 'choosing' };
  };
  const make = (what: string, form: Form): void => {
    const stop = new AbortController();
    making.current = stop;
    const say = (next: State): void => {
      if (!stop.signal.aborted) state.value = next;
    };
    say({ at: 'making', what, share: 0 });
    makeFile(session, form, {
      signal: stop.signal,
      onProgress: (share) => say({ at: 'making', what, share }),
    }).then(
      (made) => say({ at: 'ready', ...made }),
      (error: unknown) => say({ at: 'failed', says: sentenceOf(error) }),
    );
  };
  const now = state.value;
  return (
    <section class="out-slip" aria-label="Hand out">
      {now.at === 'choosing' && <Choices session={session} make={make} />}
      {now.at === 'making' && (
        <div class="progress-line">
          <span>Making {now.what} …</span>
          <progress max={1} value={now.share} aria-label="Made" />
          <button type="button" class="button" onClick={again}>
            Stop
          </button>
        </div>
      )}
      {now.at === 'ready' && (
        <p class="out-ready" role="status">
          <GiveFile
            file={now.file}
            says={`${now.file.name}, ${kilobytes(now.file.size)}, is ready. ${now.told}`.trim()}
            close={again}
          />
        </p>
      )}
      {now.at === 'failed' && (
        <p role="alert" class="out-ready">
          <span>{now.says} The list is as it was.</span>
          <button type="button" class="button" onClick={again}>
            Back
          </button>
        </p>
      )}
    </section>
  );
}

/** Where a language is most likely at home, as far as the browser can tell; some name theirs in ways of their own. */
function landOf(language: string): string {
  try {
    return new Intl.Locale(language).maximize().region ?? '';
  } catch {
    return '';
  }
}

function kilobytes(bytes: number): string {
  return bytes < 1e6 ? `${Math.ceil(bytes / 1000)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}

function Choices({
  session,
  make,
}: {
  session: Session;
  make: (what: string, form: Form) => void;
}): JSX.Element {
  const desk = fixesOf(session);
  const shown = desk.shown.value;
  const paper = useSignal<'A4' | 'Letter'>(letterLands.has(landOf(navigator.language)) ? 'Letter' : 'A4');
  const noted = new Map(shown.map((row) => [drawingKey(row), row]));
  // By name: the rows may change while this stands open.
  const picked = useSignal('');
  const [key = ''] = noted.has(picked.value) ? [picked.value] : noted.keys();
  const drawing = noted.get(key);
  const fewer = shown.length < desk.rows.value.length;
  return (
    <>
      <p class="hint">
        {shown.length === 1 ? 'The row' : `The ${shown.length} rows`} below, in this order
        {fewer && ', as chosen above'}. A pack holds the whole shot: drawings, notes, findings.
        {findingsOf(session).measured.value !== undefined &&
          ' The drawings are still being measured: what is found after this is not on it.'}
      </p>
      <div class="out-ways choice">
        <span>
          <button type="button" onClick={() => make('the print', { form: 'pdf', paper: paper.value })}>
            Print (PDF)
          </button>
          <select
            aria-label="Paper"
            value={paper.value}
            onChange={(event) => {
              paper.value = event.currentTarget.value === 'Letter' ? 'Letter' : 'A4';
            }}
          >
            <option>A4</option>
            <option>Letter</option>
          </select>
        </span>
        <button type="button" onClick={() => make('the table', { form: 'csv' })}>
          Table (CSV)
        </button>
        <button type="button" onClick={() => make('the annotations', { form: 'jsonld' })}>
          Annotations (JSON-LD)
        </button>
        <button type="button" onClick={() => make('the pack', { form: 'pack' })}>
          Pack (zip)
        </button>
        {drawing && (
          <span>
            <button
              type="button"
              onClick={() =>
                make(`the picture of ${drawing.drawing}`, {
                  form: 'png',
                  level: drawing.level,
                  drawing: drawing.drawing,
                })
              }
            >
              Picture (PNG)
            </button>
            <select
              aria-label="Drawing"
              value={key}
              onChange={(event) => {
                picked.value = event.currentTarget.value;
              }}
            >
              {[...noted].map(([name, { level, drawing: label }]) => (
                <option key={name} value={name}>
                  {`${level} ${label} (${rowsOn(shown, level, label).length})`.trim()}
                </option>
              ))}
            </select>
          </span>
        )}
      </div>
    </>
  );
}
