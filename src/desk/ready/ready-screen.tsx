/** The one page that says whether the shot may go to ink and paint; every line leads to its place. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { groupedPlaces, type PlaceGroup } from '../../check/ready/grouped.ts';
import { proofOf } from '../../check/ready/proof.ts';
import type { ReadyLine, ReadyPlace } from '../../check/ready/ready.ts';
import { fileName } from '../../export/file-name.ts';
import { pagePainter } from '../../export/page-painter.ts';
import { checksOf } from '../checks/checks-desk.ts';
import { switchesOf } from '../checks/switches.ts';
import { findingsOf } from '../findings.ts';
import { PegHoles } from '../fixes/peg-holes.tsx';
import { Icon } from '../icons.tsx';
import { type Made, MakeSlip } from '../make-slip.tsx';
import { PaperSelect, type PrintPaper, paperHere } from '../paper-select.tsx';
import type { Session } from '../session.ts';
import { SheetHead } from '../sheet-head.tsx';
import { HouseEditor } from './house-editor.tsx';
import { readyDeskOf } from './ready-desk.ts';
import '../fixes/fixes.css';
import '../fixes/fix-paper.css';
import './ready.css';

export function ReadyScreen({ session }: { session: Session }): JSX.Element {
  const desk = readyDeskOf(session);
  const out = useSignal(false);
  useEffect(() => desk.watch(), [desk]);
  const { ready, lines, aside } = desk.ready.value;
  const left = lines.filter(({ state }) => state !== 'holds').length;
  const waits = lines.every(({ state }) => state !== 'not') && left > 0;
  return (
    <div class="fixes">
      <SheetHead session={session} out={out} />
      {out.value && <ReadyOut session={session} />}
      <section class="fix-paper" aria-labelledby="ready-title">
        <PegHoles />
        <header>
          <h2 id="ready-title">
            {ready ? 'Ready for ink and paint' : waits ? 'Being measured' : 'Not ready for ink and paint'}{' '}
            <span class="fix-of">{session.shot.value.title}</span>
          </h2>
          <p role="status">{ready ? 'Everything holds' : `${lines.length - left} of ${lines.length} hold`}</p>
          <Measuring session={session} />
        </header>
        <ol class="ready-lines">
          {lines.map((line) => (
            <Line key={line.name} line={line} goTo={desk.goTo} mend={desk.mend} />
          ))}
        </ol>
        {aside.length > 0 && (
          <section class="ready-aside" aria-labelledby="aside-title">
            <h3 id="aside-title">For the eye; this stops nothing</h3>
            <Places places={aside} goTo={desk.goTo} />
          </section>
        )}
        {desk.trouble.value && <p role="alert">{desk.trouble}</p>}
        <HouseEditor session={session} />
      </section>
    </div>
  );
}

function Measuring({ session }: { session: Session }): JSX.Element | null {
  const share = findingsOf(session).measured.value;
  const { stopped } = switchesOf(session);
  if (share === undefined) return null;
  if (!stopped.value)
    return <p class="fix-measured">The drawings are being measured: {Math.floor(100 * share)} %</p>;
  return (
    <p class="fix-measured">
      Checking was stopped at {Math.floor(100 * share)} %.{' '}
      <button
        type="button"
        class="button"
        onClick={() => {
          stopped.value = false;
        }}
      >
        Go on
      </button>
    </p>
  );
}

const stateWords = { holds: 'Holds', not: 'Does not hold', waits: 'Being measured' } as const;

/** Lines of which something can be mended by itself. */
const mendedLines: ReadonlySet<ReadyLine['name']> = new Set(['closed', 'specks', 'house']);

interface LineProps {
  readonly line: ReadyLine;
  readonly goTo: (place: ReadyPlace) => void;
  readonly mend: (place: ReadyPlace) => void;
}

function Line({ line, goTo, mend }: LineProps): JSX.Element {
  const { state, title, says, places, unjudged } = line;
  const mendable = state === 'not' && mendedLines.has(line.name) ? places[0] : undefined;
  return (
    <li class={`ready-line ${state}`}>
      <svg
        class="ready-box"
        width="28"
        height="28"
        viewBox="0 0 28 28"
        role="img"
        aria-label={stateWords[state]}
      >
        <rect x="3" y="3" width="22" height="22" />
        {state === 'holds' && <path d="M7 14l5 6L22 6" />}
        {state === 'not' && <path d="M8 8l12 12M20 8L8 20" />}
        {state === 'waits' && <path d="M14 9v6l4 2" />}
      </svg>
      <div>
        <h3>{title}</h3>
        {says && <p class="ready-says">{says}</p>}
        <Places places={places} goTo={goTo} />
        {mendable && (
          <p class="ready-mend">
            <button type="button" class="button" onClick={() => mend(mendable)}>
              Mend on the desk
            </button>
          </p>
        )}
        {unjudged.length > 0 && (
          <>
            <p class="ready-says">Not judged, so look there yourself; this stops nothing:</p>
            <Places places={unjudged} goTo={goTo} />
          </>
        )}
      </div>
    </li>
  );
}

/** More than these are shown when asked for. */
const shownFirst = 6;

function Places({
  places,
  goTo,
}: {
  places: readonly ReadyPlace[];
  goTo: (place: ReadyPlace) => void;
}): JSX.Element | null {
  const whole = useSignal(false);
  const groups = groupedPlaces(places);
  const shown = whole.value ? groups : groups.slice(0, shownFirst);
  if (groups.length === 0) return null;
  return (
    <>
      <ul class="ready-places">
        {shown.map((group, n) => (
          <Group key={n} group={group} goTo={goTo} />
        ))}
      </ul>
      {shown.length < groups.length && (
        <button
          type="button"
          class="button"
          onClick={() => {
            whole.value = true;
          }}
        >
          and {groups.length - shown.length} more
        </button>
      )}
    </>
  );
}

const nameOf = ({ level, drawing }: ReadyPlace): string => (level ? `${level} ${drawing}` : drawing);

function Group({
  group: { says, places },
  goTo,
}: {
  group: PlaceGroup;
  goTo: (place: ReadyPlace) => void;
}): JSX.Element {
  const [first] = places;
  if (places.length === 1 && first)
    return (
      <li>
        <button type="button" class="ready-place" onClick={() => goTo(first)}>
          {first.drawing && <b>{nameOf(first)}</b>} <span>{says}</span> <Icon name="on" />
        </button>
      </li>
    );
  return (
    <li class="ready-many">
      <span>{says}:</span>
      {places.map((place) => (
        <button key={nameOf(place)} type="button" class="ready-number" onClick={() => goTo(place)}>
          {nameOf(place)}
        </button>
      ))}
    </li>
  );
}

function ReadyOut({ session }: { session: Session }): JSX.Element {
  const paper = useSignal(paperHere());
  const pending = findingsOf(session).measured.value !== undefined;
  return (
    <MakeSlip safe="Nothing was changed.">
      {(make) => (
        <>
          <p class="hint">
            What holds and what does not, with the SHA-256 of every drawing, so that paint can tell whether it
            still holds.
            {pending && ' The drawings are still being measured: what is found after this is not in it.'}
          </p>
          <div class="out-ways choice">
            <span>
              <button type="button" onClick={() => make('the print', () => printed(session, paper.peek()))}>
                Print (PDF)
              </button>
              <PaperSelect paper={paper} />
            </span>
            <button type="button" onClick={() => make('the data', async () => data(session))}>
              Data (JSON)
            </button>
          </div>
        </>
      )}
    </MakeSlip>
  );
}

function proof(session: Session) {
  const desk = readyDeskOf(session);
  return proofOf(session.shot.peek(), desk.ready.peek(), {
    tolerances: checksOf(session).tolerances.peek(),
    house: desk.house.peek(),
    at: new Date(session.clock.wallMs()),
  });
}

const file = (session: Session, content: BlobPart, end: string, type: string): Made => ({
  file: new File([content], fileName(`${session.shot.peek().title} ready.${end}`), { type }),
  told: '',
});

function data(session: Session): Made {
  const text = `${JSON.stringify(proof(session), undefined, 2)}\n`;
  return file(session, text, 'json', 'application/json');
}

async function printed(session: Session, paper: PrintPaper): Promise<Made> {
  const { readyPdf } = await import('../../export/ready-pdf.ts');
  const bytes = await readyPdf(proof(session), {
    paper,
    painter: pagePainter(async () => undefined),
    printed: new Date(session.clock.wallMs()).toISOString().slice(0, 10),
  });
  return file(session, new Uint8Array(bytes), 'pdf', 'application/pdf');
}
