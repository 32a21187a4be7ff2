/** Whether the open shot may go to ink and paint, kept up to date while its page stands open. */
import { batch, computed, effect, type ReadonlySignal, signal } from '@preact/signals';
import { asksNothing, type HouseFound, houseKey } from '../../check/ready/house.ts';
import { type Ready, type ReadyPlace, readyOf } from '../../check/ready/ready.ts';
import { unjudgedIn } from '../../check/ready/unjudged.ts';
import { sentenceOf } from '../../error/sentence.ts';
import type { HouseRules } from '../../note/entry.ts';
import { houseRulesIn } from '../../note/said-house-rules.ts';
import { drawingOf } from '../../shot/drawing-ref.ts';
import { cleanOf } from '../../shot/takes.ts';
import { createBridge } from '../../work/bridge.ts';
import { pagePort, restingPutAway } from '../../work/page-port.ts';
import { bringIntoView } from '../bring-into-view.ts';
import { checksOf } from '../checks/checks-desk.ts';
import type { HouseQuestion } from '../checks/messages.ts';
import { newChecksWorker } from '../checks/new-worker.ts';
import { findingsOf } from '../findings.ts';
import { openMending } from '../line-part.ts';
import { notesOf } from '../notes/notes-desk.ts';
import { placementOf, toPaper } from '../notes/place.ts';
import { perSession } from '../per-session.ts';
import type { Session } from '../session.ts';

interface ReadyDesk {
  readonly ready: ReadonlySignal<Ready>;
  readonly house: ReadonlySignal<HouseRules>;
  /** Why drawings could not be held against the rules: one sentence. */
  readonly trouble: ReadonlySignal<string>;
  setHouse(rules: HouseRules, says: string): void;
  /** Lays the place on the desk. */
  readonly goTo: (place: ReadyPlace) => void;
  /** Lays its drawing on the desk, with what can be mended there by itself. */
  readonly mend: (place: ReadyPlace) => void;
  /** Holds the drawings against the rules until the returned function is called. */
  watch(): () => void;
}

/** The one of a session, opened when first asked for. */
export const readyDeskOf = perSession(openReady);

function openReady(session: Session): ReadyDesk {
  const { ledger, shot } = session;
  const checks = checksOf(session);
  const house = computed(() => houseRulesIn(ledger.entries.value));
  /** By `houseKey`, so that another rule does not lose what was found by this one. */
  const known = signal<ReadonlyMap<string, HouseFound>>(new Map());
  const trouble = signal('');
  const cleans = computed(() => {
    const all = shot.value.levels.flatMap(({ drawings }) =>
      drawings.flatMap((drawing) => cleanOf(drawing) ?? []),
    );
    return [...new Set(all.map(({ sha256 }) => sha256))];
  });
  const unjudged = computed(() => {
    const all = checks.measures.value;
    return all ? unjudgedIn(shot.value, all, checks.tolerances.value.leakPx) : [];
  });
  const ready = computed(() =>
    readyOf({
      shot: shot.value,
      notes: ledger.notes.value,
      standings: checks.listed.value,
      measuring: findingsOf(session).measured.value !== undefined || !checks.measures.value,
      unjudged: unjudged.value,
      tolerances: checks.tolerances.value,
      house: house.value,
      houseFound: new Map(
        cleans.value.flatMap((sha256) => {
          const found = known.value.get(houseKey(sha256, house.value));
          return found ? [[sha256, found] as const] : [];
        }),
      ),
    }),
  );

  async function hold(rules: HouseRules, hashes: readonly string[], stop: AbortSignal): Promise<void> {
    trouble.value = '';
    const worker = restingPutAway(
      createBridge<HouseQuestion, { readonly house: HouseFound }>({
        size: 1,
        start: () => pagePort(newChecksWorker()),
      }),
    );
    try {
      for (const sha256 of hashes) {
        const { house: found } = await worker
          .ask({ kind: 'house', sha256, rules }, { signal: stop })
          .catch((error: unknown) => {
            stop.throwIfAborted();
            return { house: { refused: sentenceOf(error) } };
          });
        known.value = new Map([...known.peek(), [houseKey(sha256, rules), found]]);
      }
    } catch (error) {
      if (!stop.aborted) trouble.value = sentenceOf(error);
    } finally {
      worker.close();
    }
  }

  return {
    ready,
    house,
    trouble,
    setHouse(rules, says) {
      if (JSON.stringify(rules) !== JSON.stringify(house.peek())) session.say(says, [rules]);
    },
    goTo(place) {
      goTo(session, place);
    },
    mend({ level, drawing }) {
      batch(() => {
        session.act({ do: 'level', level });
        session.act({ do: 'drawing', label: drawing });
        openMending(session);
      });
    },
    watch() {
      return effect(() => {
        const rules = house.value;
        if (asksNothing(rules)) return;
        const open = cleans.value.filter((sha256) => !known.peek().has(houseKey(sha256, rules)));
        if (open.length === 0) return;
        const stop = new AbortController();
        void hold(rules, open, stop.signal);
        return () => stop.abort();
      });
    },
  };
}

function goTo(session: Session, place: ReadyPlace): void {
  const { level, drawing, note, finding, frame, bbox } = place;
  const listed = checksOf(session).listed.peek();
  const found = finding === undefined ? undefined : listed.find((one) => one.finding.key === finding);
  batch(() => {
    session.panel.value = note !== undefined ? 'notes' : found ? 'checks' : undefined;
    session.act({ do: 'level', level });
    if (drawing) session.act({ do: 'drawing', label: drawing });
    if (frame !== undefined) session.act({ do: 'frame', frame });
    if (note !== undefined) notesOf(session).chosen.value = note;
  });
  if (!found && !bbox) return;
  const lay = (): void => {
    if (found) checksOf(session).goTo(found.finding);
    else if (bbox) showBox(session, { level, drawing }, bbox);
  };
  // After a panel has taken its room beside the paper.
  session.clock.onFrame(() => session.clock.onFrame(lay));
}

function showBox(
  session: Session,
  at: { readonly level: string; readonly drawing: string },
  [x, y, width, height]: NonNullable<ReadyPlace['bbox']>,
): void {
  const shot = session.shot.peek();
  const drawing = drawingOf(shot, at);
  const clean = drawing && cleanOf(drawing);
  if (!clean) return;
  const placement = placementOf(shot, clean, [clean.width, clean.height]);
  bringIntoView(session, toPaper(placement, [x + width / 2, y + height / 2]), Math.max(width, height) / 2);
}
