/** The checks of one open shot: what was measured, what it finds, and what people said to it. */
import { batch, computed, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import type { CheckName, Finding } from '../../check/finding.ts';
import { findingsOf as findingsIn } from '../../check/findings.ts';
import { type Measured, measuredOf } from '../../check/measured.ts';
import type { Tolerances } from '../../check/tolerances.ts';
import { type PartRun, volumeRuns } from '../../check/volume-run.ts';
import type { Box } from '../../line/picture.ts';
import type { About } from '../../note/entry.ts';
import { inWorkingOrder, type Standing, standingsOf } from '../../note/standing.ts';
import { type DrawingRef, drawingOf } from '../../shot/drawing-ref.ts';
import type { Shot } from '../../shot/model.ts';
import { cleanOf } from '../../shot/takes.ts';
import { bringIntoView } from '../bring-into-view.ts';
import { findingsOf } from '../findings.ts';
import { placementOf, toPaper } from '../notes/place.ts';
import { perSession } from '../per-session.ts';
import type { OnPaper, Session } from '../session.ts';
import { type HandRest, handRest } from './hand-rest.ts';
import { type Measuring, startMeasuring } from './measuring.ts';
import { newChecksWorker } from './new-worker.ts';
import { ringStroke } from './ring-stroke.ts';
import { switchesOf } from './switches.ts';
import { tolerancesOf } from './tolerance-keep.ts';

/** A finding and how it stands with people. */
export type Listed = Standing<Finding>;

export interface ChecksDesk extends Pick<Measuring, 'measures' | 'progress' | 'trouble'> {
  readonly rest: HandRest;
  /** What lies on the paper when the hand rests there: lists follow it, so that a flip has none to draw. */
  readonly here: ReadonlySignal<OnPaper | undefined>;
  readonly tolerances: ReadonlySignal<Tolerances>;
  /** By level, what was measured of each drawing. */
  readonly measured: ReadonlySignal<ReadonlyMap<string, readonly Measured[]>>;
  /** By level and drawing, in the same order, how the volume of each part runs over the shot. */
  readonly runs: ReadonlySignal<ReadonlyMap<string, readonly (readonly PartRun[])[]>>;
  /** In working order. */
  readonly listed: ReadonlySignal<readonly Listed[]>;
  /** Key of the finding in hand. */
  readonly chosen: Signal<string | undefined>;
  /** Findings of a shot that is not the one on the desk; undefined until it is measured. */
  findingsFor(shot: Shot): ReadonlySignal<readonly Finding[] | undefined>;
  goTo(finding: Finding): void;
  /** Pins a note with the place and the words of a finding. */
  pin(finding: Finding): void;
  dismiss(finding: Finding, reason: string): void;
  bringBack(finding: Finding): void;
  step(by: 1 | -1): void;
  close(): void;
}

/** The one of a session, opened when first asked for. */
export const checksOf = perSession(openChecks);

/** What a note made of a finding is about. */
const aboutOf: Readonly<Record<CheckName, About>> = {
  weight: 'weight',
  drift: 'line',
  volume: 'volume',
  leaks: 'line',
  specks: 'extra',
  spacing: 'spacing',
  boil: 'line',
  wobble: 'line',
  registration: 'other',
  size: 'other',
  missing: 'missing',
};

function openChecks(session: Session): ChecksDesk {
  const { shot, ledger } = session;
  const tolerances = tolerancesOf(session);
  const mostGapPx = computed(() => tolerances.value.leakPx);
  const rest = handRest(session);
  const measuring = startMeasuring(session, rest, newChecksWorker, mostGapPx, switchesOf(session).stopped);
  const { measures, progress, trouble } = measuring;
  const chosen = signal<string | undefined>(undefined);
  const here = signal<OnPaper | undefined>(undefined);

  const found = computed(() =>
    measures.value ? findingsIn(shot.value, measures.value, tolerances.value) : undefined,
  );
  const listed = computed(() =>
    inWorkingOrder(shot.value, standingsOf(ledger.notes.value, found.value ?? [])),
  );

  const measured = computed(() => {
    const all = measures.value;
    return new Map(
      all ? shot.value.levels.map((level) => [level.name, measuredOf(level, all, mostGapPx.value)]) : [],
    );
  });

  const desk: ChecksDesk = {
    measures,
    progress,
    trouble,
    rest,
    here,
    tolerances,
    measured,
    runs: computed(() => new Map([...measured.value].map(([name, level]) => [name, volumeRuns(level)]))),
    listed,
    chosen,
    findingsFor(other) {
      const theirs = measuring.also(other);
      return computed(() => theirs.value && findingsIn(other, theirs.value, tolerances.value));
    },
    goTo(finding) {
      batch(() => {
        session.act({ do: 'level', level: finding.level });
        session.act({ do: 'drawing', label: finding.drawing });
        chosen.value = finding.key;
      });
      showPlace(session, finding);
    },
    pin(finding) {
      const clean = cleanIn(session.shot.peek(), finding);
      if (!clean) return;
      const [x, y, width, height] = finding.bbox;
      const { level, drawing, key, message, check } = finding;
      chosen.value = undefined;
      session.say(`Pinned on ${drawing}`, [
        {
          kind: 'pin',
          level,
          drawing,
          drawings: [drawing],
          image: clean.sha256,
          sizePx: [clean.width, clean.height],
          at: [x + width / 2, y + height / 2],
          strokes: ringsRound(finding).map((spot) => ringStroke(spot, [clean.width, clean.height])),
          about: aboutOf[check],
          text: sentence(message),
          finding: key,
        },
      ]);
    },
    dismiss({ level, drawing, key, lineDigest }, reason) {
      chosen.value = undefined;
      session.say(`Dismissed on ${drawing}: ${reason}`, [
        { kind: 'dismiss', level, drawing, finding: key, lineDigest, reason },
      ]);
    },
    bringBack({ level, drawing, key, lineDigest }) {
      session.say(`Brought back on ${drawing}`, [
        { kind: 'dismiss', level, drawing, finding: key, lineDigest, reason: '', undone: true },
      ]);
    },
    step(by) {
      const open = listed.peek().filter(({ standing }) => standing === 'open');
      const at = open.findIndex(({ finding }) => finding.key === chosen.peek());
      const next = at < 0 ? open.at(by > 0 ? 0 : -1) : open[(at + by + open.length) % open.length];
      if (next) desk.goTo(next.finding);
    },
    close() {
      for (const stop of stops) stop();
      rest.close();
      measuring.close();
    },
  };

  const told = findingsOf(session);
  const stops = [
    effect(() => {
      const now = session.onPaper.value;
      // A finding that was tapped is wanted at once.
      const inHand = listed.peek().find(({ finding }) => finding.key === chosen.value)?.finding;
      const wanted = inHand?.drawing === now?.drawing && inHand?.level === now?.level;
      if (rest.resting.value || wanted) here.value = now;
    }),
    effect(() => {
      told.found.value = found.value;
    }),
    effect(() => {
      const { done, total } = progress.value;
      told.measured.value = done < total ? done / total : undefined;
    }),
  ];
  return desk;
}

/** More than a director would ring one by one are ringed as a whole. */
const mostRings = 24;
const ringsRound = ({ bbox, spots = [bbox] }: Finding): readonly Box[] =>
  spots.length > mostRings ? [bbox] : spots;

/** As a sentence of its own. */
export const sentence = (message: string): string =>
  `${message.charAt(0).toUpperCase()}${message.slice(1)}${/[.!?]$/.test(message) ? '' : '.'}`;

/** The picture in whose px a finding speaks. */
export const cleanIn = (shot: Shot, finding: DrawingRef) => {
  const found = drawingOf(shot, finding);
  return found && cleanOf(found);
};

function showPlace(session: Session, finding: Finding): void {
  const clean = cleanIn(session.shot.peek(), finding);
  if (!clean) return;
  const placement = placementOf(session.shot.peek(), clean, [clean.width, clean.height]);
  const [x, y, width, height] = finding.bbox;
  bringIntoView(session, toPaper(placement, [x + width / 2, y + height / 2]), Math.max(width, height) / 2);
}
