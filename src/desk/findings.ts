/**
 * What the checks found on a shot. The room `checks` writes it for the open one; the fix list, the retakes, the marks
 * and the shelf read it, without loading the checks.
 */
import { computed, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import type { FixFinding } from '../note/fix-list.ts';
import type { Shelf } from '../shelf/types.ts';
import { drawingOf } from '../shot/drawing-ref.ts';
import type { Shot } from '../shot/model.ts';
import { cleanOf } from '../shot/takes.ts';
import { perSession } from './per-session.ts';
import type { Session } from './session.ts';

interface FindingsDesk {
  /** Of the newest takes, dismissed ones included; undefined while nothing was measured on this tablet. */
  readonly found: Signal<readonly FixFinding[] | undefined>;
  /** 0 to below 1 while drawings are being measured. */
  readonly measured: Signal<number | undefined>;
}

export const findingsOf = perSession(
  (): FindingsDesk => ({ found: signal(undefined), measured: signal(undefined) }),
);

const packKey = (shotId: string): string => `findings of a pack:${shotId}`;
const ownKey = (shotId: string): string => `findings:${shotId}`;

/** A finding and the picture it was made on. */
interface KeptFinding extends FixFinding {
  readonly image: string;
}
/** Until Fairpeg 0.1 of November 2026 only the findings were kept. */
type Kept = readonly KeptFinding[] | Checked;
interface Checked {
  /** SHA-256 of the clean drawings that were measured. */
  readonly images: readonly string[];
  readonly findings: readonly KeptFinding[];
}

/** What is known of a shot without measuring it. */
export interface KnownFindings {
  readonly findings: readonly FixFinding[];
  /** Clean drawings that nobody has measured yet, so that nothing found says nothing of them. */
  readonly unchecked: number;
}

/** Findings that came with a pack stand until this tablet has measured the drawings itself. */
export async function keepPackFindings(
  shelf: Shelf,
  shotId: string,
  findings: readonly FixFinding[],
): Promise<void> {
  await shelf.keepValue(packKey(shotId), findings);
}

const imageIn = (shot: Shot, at: FixFinding): string | undefined => {
  const drawing = drawingOf(shot, at);
  return drawing && cleanOf(drawing)?.sha256;
};

/**
 * What this tablet found when the shot lay on its desk, of drawings that are still the same, else what a pack brought
 * (of which some may speak of takes that are no longer the newest).
 */
export async function knownFindings(shelf: Shelf, shot: Shot): Promise<KnownFindings> {
  const own = await shelf.value<Kept>(ownKey(shot.id));
  const pack = own ? undefined : await shelf.value<readonly FixFinding[]>(packKey(shot.id));
  if (pack) return { findings: pack, unchecked: 0 };
  const { images, findings } = !own || isBare(own) ? { images: [], findings: own ?? [] } : own;
  const checked = new Set(images);
  return {
    findings: findings.filter((finding) => (imageIn(shot, finding) ?? '') === finding.image),
    unchecked: cleans(shot).filter((sha256) => !checked.has(sha256)).length,
  };
}

const isBare = (kept: Kept): kept is readonly KeptFinding[] => Array.isArray(kept);
const cleans = (shot: Shot): string[] =>
  shot.levels.flatMap(({ drawings }) => drawings.flatMap((drawing) => cleanOf(drawing)?.sha256 ?? []));

/** Of the open shot: what is measured here, until then what is known. */
export const findingsHere = perSession((session): ReadonlySignal<readonly FixFinding[]> => {
  const known = signal<readonly FixFinding[]>([]);
  const { found } = findingsOf(session);
  // A shelf that cannot be read says so itself; the lists then go without.
  void knownFindings(session.shelf, session.shot.peek()).then(
    ({ findings }) => {
      known.value = findings;
    },
    () => undefined,
  );
  return computed(() => found.value ?? known.value);
});

/** Keeps what was found whenever the whole shot is measured, for the shelf; until the returned function is called. */
export function keepFindings(session: Session): () => void {
  const { shelf, shot } = session;
  const { found, measured } = findingsOf(session);
  let last: string | undefined;
  return effect(() => {
    if (measured.value !== undefined || !found.value) return;
    const now = shot.peek();
    const kept: Checked = {
      images: cleans(now),
      findings: found.value.map((finding) => ({ ...finding, image: imageIn(now, finding) ?? '' })),
    };
    const text = JSON.stringify(kept);
    if (text === last) return;
    last = text;
    // What cannot be kept is found again when the shot is opened.
    void shelf.keepValue(ownKey(now.id), kept).catch(() => undefined);
  });
}
