/** What the pen does on the paper: draws into the draft, rubs it out, or picks a note with a tap. */
import { type Signal, signal } from '@preact/signals';
import type { Stroke } from '../../note/entry.ts';
import type { PenPoint } from '../../stage/types.ts';
import type { PenHand, Session } from '../session.ts';
import { type Draft, mostPoints } from './draft.ts';
import { distanceToInkPx } from './ink.ts';
import { onDrawing } from './listing.ts';
import type { NotesDesk } from './notes-desk.ts';
import { fromPaper, type Placement, placementOfNote } from './place.ts';

/** A pencil's line in the hand, and what a rubber reaches, CSS px: the same however near the paper is. */
const lineCssPx = 3.4;
const rubberCssPx = 11;
/** A tap this near to ink means that note, CSS px. */
const tapReachCssPx = 22;

/** The stroke under the pen. */
export interface Wet {
  readonly stroke: Stroke;
  /** Guesses of where the pen goes next: shown, never kept. */
  readonly predicted: readonly number[];
  readonly rubs: boolean;
  readonly placement: Placement;
}

export interface PencilHand extends PenHand {
  readonly wet: Signal<Wet | undefined>;
}

export function pencilHand(session: Session, desk: NotesDesk): PencilHand {
  const wet = signal<Wet | undefined>(undefined);
  let under: { readonly placement: Placement; readonly points: number[]; readonly rubs: boolean } | undefined;

  const zoom = (): number => session.stage.peek()?.camera().zoom ?? 1;
  const flat = (points: readonly PenPoint[], placement: Placement): number[] =>
    points.flatMap(({ x, y, pressure }) => {
      const [noteX, noteY] = fromPaper(placement, [x, y]);
      return [hundredth(noteX), hundredth(noteY), hundredth(pressure)];
    });
  /** CSS px to px of the note. */
  const inNotePx = (cssPx: number, placement: Placement): number =>
    Math.min(400, Math.max(0.1, cssPx / zoom() / placement.scale[0]));

  function show({ placement, points, rubs }: NonNullable<typeof under>, predicted: readonly number[]): void {
    const tool = desk.tool.peek();
    wet.value = {
      stroke: {
        colour: rubs || tool === 'rubber' ? 'black' : tool,
        widthPx: hundredth(inNotePx(rubs ? 2 * rubberCssPx : lineCssPx, placement)),
        points: [...points],
      },
      predicted,
      rubs,
      placement,
    };
  }

  function lift(): void {
    const drawn = wet.peek()?.stroke;
    if (drawn && under && drawn.points.length > 0) {
      if (under.rubs) desk.rub(drawn.points, drawn.widthPx / 2);
      else desk.ink(drawn);
    }
    under = undefined;
    wet.value = undefined;
  }

  function down(points: readonly PenPoint[], rubs: boolean): void {
    const here = session.onPaper.peek();
    if (!here) return;
    session.halt();
    const draft: Draft | undefined = rubs ? desk.draft.peek() : desk.begin(here.level, here.drawing);
    if (!draft) return;
    const placement = placementOfNote(session.shot.peek(), draft, here.drawing);
    under = { placement, points: flat(points, placement), rubs };
    show(under, []);
  }

  return {
    wet,
    pen(phase, points, predicted, end) {
      // The other end of the pen rubs, whatever pencil was chosen.
      if (phase === 'down') return down(points, end === 'rubber' || desk.tool.peek() === 'rubber');
      if (!under) return;
      under.points.push(...flat(points, under.placement));
      show(under, phase === 'move' ? flat(predicted, under.placement) : []);
      if (phase !== 'move') lift();
      else if (under.points.length >= 3 * (mostPoints - 50)) {
        // As long as one stroke may be: the line goes on in a second one.
        const { points: all, ...same } = under;
        lift();
        under = { ...same, points: all.slice(-3) };
      }
    },
    hover: () => undefined,
    tap(paper) {
      const here = session.onPaper.peek();
      if (!here) return;
      const near = onDrawing(desk.notes.peek(), here.level, here.drawing)
        .map((note) => {
          const placement = placementOfNote(session.shot.peek(), note.pin.body, here.drawing);
          const distancePx = distanceToInkPx(fromPaper(placement, paper), note.strokes, note.pin.body.at);
          return { note, cssPx: distancePx * placement.scale[0] * zoom() };
        })
        .filter(({ cssPx }) => cssPx <= tapReachCssPx)
        .sort((a, b) => a.cssPx - b.cssPx)[0];
      desk.chosen.value = near?.note.id;
      if (near) session.panel.value = 'notes';
    },
  };
}

const hundredth = (value: number): number => Math.round(value * 100) / 100;
