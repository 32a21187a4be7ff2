/** Small faults of the drawing at hand, each shown in its box before it is mended. */
import type { JSX } from 'preact';
import { hexOf } from '../../check/ready/house.ts';
import { Mark } from '../mark.tsx';
import type { Session } from '../session.ts';
import { goToBox } from './go-to-box.ts';
import type { MendOffer } from './messages.ts';
import type { Placed, RelineDesk } from './reline-desk.ts';

interface PartProps {
  readonly session: Session;
  readonly desk: RelineDesk;
  readonly may: boolean;
}

export function MendPart({ session, desk, may }: PartProps): JSX.Element {
  const one = desk.here.value;
  return (
    <>
      <p class="hint">
        Closes the gaps and removes the specks that the checks call off, and brings stray colours to the
        house’s. Only what lies in the boxes changes.
      </p>
      {one ? (
        <Offers session={session} desk={desk} may={may} one={one} />
      ) : (
        <p>This drawing has no clean-up yet.</p>
      )}
    </>
  );
}

function Offers({ session, desk, may, one }: PartProps & { readonly one: Placed }): JSX.Element {
  const { offers, picks } = desk.offeredOn(one);
  const { label } = one.drawing;
  return (
    <section aria-label={`What can be mended on ${label}`}>
      <h3>
        <Mark drawing={one.drawing} size={20} />
        <span class="unseen">Drawing {label}</span>
      </h3>
      {!offers && <p role="status">Being measured …</p>}
      {offers?.length === 0 && <p role="status">Nothing here that can be mended by itself.</p>}
      {offers && offers.length > 0 && (
        <ul class="reline-list">
          {offers.map((offer, index) => (
            <li key={`${offer.kind} ${offer.box.join(' ')}`}>
              <label class="reline-pick">
                <input
                  type="checkbox"
                  checked={picks.has(index)}
                  onChange={(event) => desk.pick(one, index, event.currentTarget.checked)}
                />
                <span>{offerWords(offer)}</span>
                {offer.from && offer.to && <Swatches from={hexOf(offer.from)} to={hexOf(offer.to)} />}
              </label>
              <button type="button" class="button" onClick={() => goToBox(session, one, offer.box)}>
                Show
              </button>
            </li>
          ))}
        </ul>
      )}
      {picks.size > 0 && !desk.running.value && (
        <p class="reline-do">
          <button type="button" class="button first" disabled={!may} onClick={() => desk.mend(one)}>
            {picks.size === 1 ? 'Mend this place' : `Mend ${picks.size} places`}
          </button>
        </p>
      )}
      {picks.size > 0 && (
        <p class="hint">
          It becomes a new take; the takes there are stay. An approved drawing waits to be approved again.
        </p>
      )}
    </section>
  );
}

function Swatches({ from, to }: { from: string; to: string }): JSX.Element {
  return (
    <span class="reline-swatches" aria-hidden="true">
      <span class="house-swatch" style={{ background: from }} />
      <span class="house-swatch" style={{ background: to }} />
    </span>
  );
}

function offerWords({ kind, from, to }: MendOffer): string {
  if (kind === 'gap') return 'Gap closed';
  if (kind === 'speck') return 'Speck removed';
  return from && to ? `${hexOf(from)} becomes ${hexOf(to)}` : 'Stray colour brought to the house’s';
}
