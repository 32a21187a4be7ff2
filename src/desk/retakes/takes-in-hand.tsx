/** The takes of the drawing at hand: old and new under one thumb, and the other ways to compare them. */
import type { JSX } from 'preact';
import { useRef } from 'preact/hooks';
import type { TakePair } from '../../note/retakes/items.ts';
import { drawingOf } from '../../shot/drawing-ref.ts';
import { Mark } from '../mark.tsx';
import { compareOf, type Way } from '../model.ts';
import type { Session } from '../session.ts';
import type { RetakesDesk } from './retakes-desk.ts';

const otherWays: readonly (readonly [way: Way, word: string])[] = [
  ['side by side', 'Beside'],
  ['underlay', 'Under'],
  ['wipe', 'Wipe'],
  ['difference', 'Difference'],
];

export function TakesInHand({ session, desk }: { session: Session; desk: RetakesDesk }): JSX.Element {
  const { drawing: label, way } = session.model.value;
  const drawing = drawingOf(session.shot.value, session.model.value);
  const pair = desk.pair.value;
  const takes = drawing?.takes ?? [];
  return (
    <section class="in-hand" aria-label={`Takes of ${label}`}>
      <h3>
        {drawing && <Mark drawing={drawing} size={20} />}
        <span class="unseen">{`Drawing ${label}`}</span>
        {!pair && <span class="one-take">{takes.length === 1 ? 'one take so far' : 'no clean-up yet'}</span>}
      </h3>
      {pair && <ThumbPad session={session} pair={pair} />}
      {pair && (
        <div class="choice-row" role="group" aria-label="Both takes at once">
          {otherWays.map(([other, word]) => (
            <button
              key={other}
              type="button"
              aria-pressed={way === other}
              onClick={() => {
                session.act({ do: 'way', way: way === other ? 'clean' : other });
                session.strip.value =
                  way !== other && (other === 'wipe' || other === 'underlay') ? other : undefined;
              }}
            >
              {word}
            </button>
          ))}
        </div>
      )}
      {pair && takes.length > 2 && (
        <div class="choice-row" role="group" aria-label="The older take">
          {takes.slice(0, -1).map(({ number }) => (
            <button
              key={number}
              type="button"
              aria-pressed={pair.older.number === number}
              onClick={() => desk.choose(number)}
            >
              {number}
            </button>
          ))}
          <span class="against">against {pair.newer.number}</span>
        </div>
      )}
    </section>
  );
}

/**
 * Two leaves: the thumb runs to and fro across their middle, and the paper flips with it. The pointer is
 * read where it is; a click counts only from keys, as it comes to the leaf where the thumb came down.
 */
function ThumbPad({ session, pair }: { session: Session; pair: TakePair }): JSX.Element {
  const shown = compareOf(session.model.value).way;
  const show = (way: 'clean' | 'rough'): void => {
    session.strip.value = undefined;
    if (session.model.peek().way !== way) session.act({ do: 'way', way });
  };
  const pad = useRef<HTMLDivElement>(null);
  const run = (event: PointerEvent): void => {
    if (event.buttons === 0 || !pad.current) return;
    const { left, width } = pad.current.getBoundingClientRect();
    show(event.clientX < left + width / 2 ? 'rough' : 'clean');
  };
  return (
    <div
      ref={pad}
      class="thumb-pad"
      role="group"
      aria-label="Old and new take"
      onPointerDown={run}
      onPointerMove={run}
    >
      {(['rough', 'clean'] as const).map((way) => (
        <button
          key={way}
          type="button"
          aria-pressed={shown === way}
          onClick={(event) => event.detail === 0 && show(way)}
        >
          <span class="leaf">{way === 'rough' ? 'old' : 'new'}</span>
          take {way === 'rough' ? pair.older.number : pair.newer.number}
        </button>
      ))}
    </div>
  );
}
