/** All drawings as small pictures on pages. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { Choice } from '../choice.tsx';
import { MakeSlip } from '../make-slip.tsx';
import { PaperSelect, paperHere } from '../paper-select.tsx';
import type { Session } from '../session.ts';
import { makeContact } from './make.ts';

const layers = { clean: 'Clean', rough: 'Rough' } as const;

export function ContactPart({ session }: { session: Session }): JSX.Element {
  const paper = useSignal(paperHere());
  const layer = useSignal<keyof typeof layers>('clean');
  const count = session.shot.value.levels.reduce((sum, { drawings }) => sum + drawings.length, 0);
  const choice = () => ({ layer: layer.peek(), paper: paper.peek() });
  return (
    <section aria-labelledby="contact-title">
      <h3 id="contact-title">Contact sheet</h3>
      <p class="hint">
        {count === 1 ? 'The drawing' : `All ${count} drawings`} in exposure order, each with its number, role
        and frames.
      </p>
      <div class="choice">
        <Choice
          name="Drawings"
          words={layers}
          now={layer.value}
          choose={(value) => {
            layer.value = value;
          }}
        />
      </div>
      <MakeSlip safe="Nothing was changed." label="Hand out the contact sheet">
        {(make) => (
          <div class="out-ways choice">
            <span>
              <button
                type="button"
                onClick={() => make('the print', (options) => makeContact(session, 'pdf', choice(), options))}
              >
                Print (PDF)
              </button>
              <PaperSelect paper={paper} />
            </span>
            <button
              type="button"
              onClick={() => make('the pages', (options) => makeContact(session, 'png', choice(), options))}
            >
              Pages (PNG)
            </button>
          </div>
        )}
      </MakeSlip>
    </section>
  );
}
