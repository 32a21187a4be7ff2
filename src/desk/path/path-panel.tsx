/** The places that are followed, beside the paper: how far, what lies off, what could not be followed and why. */
import type { JSX } from 'preact';
import type { Session } from '../session.ts';
import { pathsOf, type ShownPath } from './path-desk.ts';

interface OfSession {
  readonly session: Session;
}

export function PathPanel({ session }: OfSession): JSX.Element {
  const desk = pathsOf(session);
  const paths = desk.shown.value;
  const elsewhere = desk.followed.value.length - paths.length;
  return (
    <div class="paths">
      <p class="hint">
        Tap a place on the paper, such as a nose or a fingertip: a corner or a tight bend is held best. Flip
        on, and drag the grip below a dot where it is wrong.
      </p>
      <button
        type="button"
        class="button"
        title="Without a tap: follow what lies in the middle of what is seen"
        onClick={() => {
          const stage = session.stage.peek();
          if (stage) desk.follow(stage.camera().centre);
        }}
      >
        Follow the middle
      </button>
      {paths.map((path) => (
        <PathPart key={path.place} session={session} path={path} />
      ))}
      {elsewhere > 0 && (
        <p class="hint">
          {elsewhere === 1 ? 'One more is' : `${elsewhere} more are`} followed on other levels.
        </p>
      )}
    </div>
  );
}

const px = (value: number | undefined): string =>
  value === undefined ? '' : value.toFixed(value < 10 ? 1 : 0);

function PathPart({ session, path }: OfSession & { readonly path: ShownPath }): JSX.Element {
  const desk = pathsOf(session);
  const { letter, place, dots, arc, left, said } = path;
  const here = session.onPaper.value?.drawing;
  return (
    <section aria-label={`Place ${letter}`}>
      <h3>Place {letter}</h3>
      <p role="status">{left > 0 ? `Following: ${left} drawings left.` : summary(path)}</p>
      <table>
        <thead>
          <tr>
            <th scope="col">Drawing</th>
            <th scope="col">Spacing, px</th>
            <th scope="col">Off the arc, px</th>
          </tr>
        </thead>
        <tbody>
          {dots.map(({ label, dot }, k) => (
            <tr key={label} aria-current={label === here ? 'true' : undefined}>
              <th scope="row">{label}</th>
              {dot?.at ? (
                <>
                  <td>{px(arc.spacingPx[k])}</td>
                  <td>
                    {px(arc.offPx[k])}
                    {arc.off[k] && <strong class="path-off"> off</strong>}
                    {dot.byHand && (said ? ' by hand' : ' as tapped')}
                  </td>
                </>
              ) : (
                <td colSpan={2} class="hint">
                  {dot ? `Not followed: ${dot.refused}.` : '…'}
                </td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
      <div class="path-does">
        <button
          type="button"
          class="in-text"
          title="Puts its dot on this drawing in the middle of what is seen"
          onClick={() => {
            const stage = session.stage.peek();
            if (stage) desk.putRight(place, stage.camera().centre);
          }}
        >
          On this one it lies in the middle
        </button>
        <button type="button" class="in-text" onClick={() => desk.takeOff(place)}>
          Take {letter} off
        </button>
      </div>
    </section>
  );
}

function summary({ dots, arc }: ShownPath): string {
  const found = dots.filter(({ dot }) => dot?.at).length;
  const off = dots.filter((_, k) => arc.off[k]).map(({ label }) => label);
  const followed = `Followed through ${found} of ${dots.length}`;
  return off.length === 0 ? `${followed}; none off its arc.` : `${followed}; off its arc: ${off.join(', ')}.`;
}
