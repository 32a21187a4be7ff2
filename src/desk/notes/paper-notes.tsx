/** Notes on the paper: settled ink and wet ink each on a layer of their own. */
import { effect } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Note } from '../../note/merge.ts';
import { flipLabels } from '../model.ts';
import type { Session } from '../session.ts';
import { strokesOf } from './draft.ts';
import { paintCross, paintStrokes } from './ink.ts';
import { onDrawing } from './listing.ts';
import { type NotesDesk, notesOf } from './notes-desk.ts';
import { pencilHand, type Wet } from './pencil-hand.ts';
import { placementOfNote, toPaper } from './place.ts';

/** Of a neighbour's notes, and of the others while one is chosen. */
const throughOpacity = 0.3;
const othersOpacity = 0.35;

export function PaperNotes({ session }: { session: Session }): null {
  const desk = notesOf(session);
  useEffect(() => {
    const hand = pencilHand(session, desk);
    const letGo = session.takePen(hand);
    const stopStage = effect(() => {
      const stage = session.stage.value;
      if (!stage) return;
      stage.penTool('draw');
      const settled = stage.layer((context, { camera }) => paintSettled(context, session, desk, camera.zoom));
      const wet = stage.layer((context, { camera }) => paintWet(context, hand.wet.peek(), camera.zoom));
      const stops = [
        effect(() => {
          // Everything that settled ink depends on.
          void [desk.notes.value, desk.draft.value, desk.chosen.value, desk.through.value];
          void [session.onPaper.value, session.shot.value];
          settled.redraw();
        }),
        effect(() => {
          void hand.wet.value;
          wet.redraw();
        }),
        effect(() => stage.fingersDraw(desk.fingers.value)),
      ];
      return () => {
        for (const stop of stops) stop();
        settled.remove();
        wet.remove();
      };
    });
    return () => {
      stopStage();
      letGo();
      desk.close();
    };
  }, [session, desk]);
  return null;
}

function paintSettled(
  context: CanvasRenderingContext2D,
  session: Session,
  desk: NotesDesk,
  zoom: number,
): void {
  const here = session.onPaper.peek();
  if (!here) return;
  const shot = session.shot.peek();
  const draft = desk.draft.peek();
  const chosen = desk.chosen.peek();
  const paint = (note: Note, label: string, opacity: number): void => {
    const placement = placementOfNote(shot, note.pin.body, label);
    context.globalAlpha = opacity;
    if (note.strokes.length > 0) paintStrokes(context, note.strokes, placement, zoom);
    else paintCross(context, toPaper(placement, note.pin.body.at), zoom);
  };
  const notes = desk.notes.peek();
  if (desk.through.peek()) {
    const labels = flipLabels(shot, session.model.peek());
    const at = labels.indexOf(here.drawing);
    for (const label of [labels[at - 1], labels[at + 1]]) {
      if (label === undefined || at < 0) continue;
      for (const note of onDrawing(notes, here.level, label))
        if (!note.drawings.includes(here.drawing)) paint(note, label, throughOpacity);
    }
  }
  const mine = onDrawing(notes, here.level, here.drawing);
  const settledOne = notes.find(({ id, withdrawn }) => id === chosen && !withdrawn);
  const chosenHere = settledOne?.drawings.includes(here.drawing) ? settledOne : undefined;
  for (const note of mine) {
    if (note.id === draft?.to || note === chosenHere) continue;
    paint(note, here.drawing, chosenHere || draft ? othersOpacity : 1);
  }
  if (chosenHere && chosenHere.id !== draft?.to) paint(chosenHere, here.drawing, draft ? othersOpacity : 1);
  context.globalAlpha = 1;
  if (draft && draft.level === here.level && draft.drawings.includes(here.drawing)) {
    const placement = placementOfNote(shot, draft, here.drawing);
    const strokes = strokesOf(draft);
    if (strokes.length > 0) paintStrokes(context, strokes, placement, zoom);
    else if (draft.at) paintCross(context, toPaper(placement, draft.at), zoom);
  }
}

function paintWet(context: CanvasRenderingContext2D, wet: Wet | undefined, zoom: number): void {
  if (!wet) return;
  const stroke = { ...wet.stroke, points: [...wet.stroke.points, ...wet.predicted] };
  context.globalAlpha = wet.rubs ? 0.25 : 1;
  paintStrokes(context, [stroke], wet.placement, zoom);
  context.globalAlpha = 1;
}
