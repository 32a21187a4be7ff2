/** The fix list of one open shot: its rows, which of them are shown, and what a hand does with one. */
import { batch, computed, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import { cropRound } from '../../export/painter.ts';
import type { Body } from '../../note/entry.ts';
import { middleOf } from '../../note/field-place.ts';
import { type FixFinding, type FixRow, fixList, settlesOf } from '../../note/fix-list.ts';
import { tickBody } from '../../note/note-states.ts';
import type { Shot } from '../../shot/model.ts';
import { findingsHere } from '../findings.ts';
import { keptFilter } from '../kept-filter.ts';
import { notesOf } from '../notes/notes-desk.ts';
import { placementOfNote, toPaper } from '../notes/place.ts';
import { perSession } from '../per-session.ts';
import type { Session } from '../session.ts';
import { person } from '../table.ts';
import { type FixFilter, fixFilterSchema, noFilter, shownRows } from './filter.ts';

/** A row as it stands on the list. */
export interface FixLine {
  readonly row: FixRow;
  /** Numbers of the rows shown that it may settle besides. */
  readonly settles: readonly number[];
}

export interface FixesDesk {
  /** All, in working order. */
  readonly rows: ReadonlySignal<readonly FixRow[]>;
  readonly shown: ReadonlySignal<readonly FixRow[]>;
  /** Those shown. A line that says what it said before is the same object, so that it is not drawn anew. */
  readonly lines: ReadonlySignal<readonly FixLine[]>;
  /** Levels and drawings, the same object as long as they are as they were. */
  readonly levels: ReadonlySignal<Shot['levels']>;
  readonly findings: ReadonlySignal<readonly FixFinding[]>;
  readonly filter: Signal<FixFilter>;
  readonly dropFrame: Signal<boolean>;
  /** The row that was gone to last. */
  readonly chosen: Signal<string | undefined>;
  /** Why the last tick was not made: one sentence. */
  readonly refusal: ReadonlySignal<string>;
  /** Says fixed, or takes that back. */
  tick(row: FixRow): void;
  /** Lays the row's drawing on the desk, its place in the middle. */
  goTo(row: FixRow): void;
}

/** The one of a session, opened when first asked for. */
export const fixesOf = perSession(openFixes);

function openFixes(session: Session): FixesDesk {
  const { ledger, shot } = session;
  const filter = keptFilter(session, 'fixes', fixFilterSchema, noFilter);
  const dropFrame = signal(true);
  const refusal = signal('');
  const { notes } = ledger;
  const findings = findingsHere(session);
  const rows = computed(() =>
    fixList(shot.value, notes.value, findings.value, { dropFrame: dropFrame.value }),
  );
  function ask(says: string, body: Body): void {
    refusal.value = '';
    session.say(says, [body], {
      refused: (reason) => {
        refusal.value = reason;
      },
    });
  }

  const shown = computed(() => shownRows(shot.value, rows.value, filter.value));
  const steadyLine = steady<FixLine>(({ row: { strokes, ...said }, settles }) => [
    JSON.stringify([said, settles]),
    strokes,
  ]);
  const steadyLevels = steady<Shot['levels']>((levels) => [JSON.stringify(levels)]);

  const desk: FixesDesk = {
    rows,
    shown,
    lines: computed(() =>
      shown.value.map((row) => steadyLine(row.id, { row, settles: settlesOf(row, shown.value) })),
    ),
    levels: computed(() => steadyLevels('', shot.value.levels)),
    findings,
    filter,
    dropFrame,
    chosen: signal(undefined),
    refusal,
    tick(row) {
      const note = notes.peek().notes.find(({ id }) => id === row.id);
      if (!note) return;
      const body = tickBody(note, person.peek());
      const state = body.kind === 'state' ? body.state : 'not fixed after all';
      ask(`No. ${row.number}, drawing ${row.drawing}: ${state}`, body);
    },
    goTo(row) {
      const { level, drawing, image = '', sizePx, box } = row;
      const isNote = row.source === 'note';
      batch(() => {
        desk.chosen.value = row.id;
        session.act({ do: 'level', level });
        session.act({ do: 'drawing', label: drawing });
        if (isNote) notesOf(session).chosen.value = row.id;
        session.panel.value = isNote ? 'notes' : 'checks';
      });
      const finding = findings.peek().find(({ key }) => row.id === `finding:${key}`);
      if (finding)
        import('../checks/checks-desk.ts').then(
          ({ checksOf }) => {
            checksOf(session).chosen.value = finding.key;
          },
          // Its panel says that the checks could not be loaded; the place is laid in the middle all the same.
          () => undefined,
        );
      const placement = placementOfNote(shot.peek(), { level, image, sizePx }, drawing);
      const share = cropRound(box, sizePx)[2] / sizePx[0];
      const lay = (): void => {
        session.fit();
        session.moveCamera((camera) => ({
          ...camera,
          centre: toPaper(placement, middleOf(box)),
          zoom: camera.zoom / share,
        }));
      };
      // After the panel has taken its room beside the paper.
      session.clock.onFrame(() => session.clock.onFrame(lay));
    },
  };
  return desk;
}

/**
 * Gives the value that it gave for a key before, as long as both are told by the same parts; every entry makes shot
 * and rows anew, and most of them say the same.
 */
function steady<T>(partsOf: (value: T) => readonly unknown[]): (key: string, value: T) => T {
  const given = new Map<string, { readonly parts: readonly unknown[]; readonly value: T }>();
  return (key, value) => {
    const parts = partsOf(value);
    const before = given.get(key);
    if (before?.parts.every((part, n) => part === parts[n])) return before.value;
    given.set(key, { parts, value });
    return value;
  };
}
