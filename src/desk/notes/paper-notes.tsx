/** Notes on the paper: settled ink and wet ink each on a layer of their own. */
import { effect } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Note } from '../../note/merge.ts';
import type { LayerDraw } from '../../stage/types.ts';
import { askedPlaceOf } from '../asked-place.ts';
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
      const settled = stage.layer(() => settledInk(session, desk));
      const wet = stage.layer(() => wetInk(hand.wet.peek()));
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
        effect(() => stage.fingersDraw(desk.fingers.value || askedPlaceOf(session).value !== undefined)),
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

type Ink = (context: CanvasRenderingContext2D, zoom: number) => void;

function settledInk(session: Session, desk: NotesDesk): LayerDraw | undefined {
  const here = session.onPaper.peek();
  if (!here) return undefined;
  const shot = session.shot.peek();
  const draft = desk.draft.peek();
  const chosen = desk.chosen.peek();
  const inks: Ink[] = [];
  const lay = (note: Note, label: string, opacity: number): void => {
    const placement = placementOfNote(shot, note.pin.body, label);
    inks.push((context, zoom) => {
      context.globalAlpha = opacity;
      if (note.strokes.length > 0) paintStrokes(context, note.strokes, placement, zoom);
      else paintCross(context, toPaper(placement, note.pin.body.at), zoom);
    });
  };
  const notes = desk.notes.peek();
  if (desk.through.peek()) {
    const labels = flipLabels(shot, session.model.peek());
    const at = labels.indexOf(here.drawing);
    for (const label of [labels[at - 1], labels[at + 1]]) {
      if (label === undefined || at < 0) continue;
      for (const note of onDrawing(notes, here.level, label))
        if (!note.drawings.includes(here.drawing)) lay(note, label, throughOpacity);
    }
  }
  const mine = onDrawing(notes, here.level, here.drawing);
  const settledOne = notes.find(({ id, withdrawn }) => id === chosen && !withdrawn);
  const chosenHere = settledOne?.drawings.includes(here.drawing) ? settledOne : undefined;
  for (const note of mine) {
    if (note.id === draft?.to || note === chosenHere) continue;
    lay(note, here.drawing, chosenHere || draft ? othersOpacity : 1);
  }
  if (chosenHere && chosenHere.id !== draft?.to) lay(chosenHere, here.drawing, draft ? othersOpacity : 1);
  if (draft && draft.level === here.level && draft.drawings.includes(here.drawing)) {
    const placement = placementOfNote(shot, draft, here.drawing);
    const strokes = strokesOf(draft);
    const { at } = draft;
    if (strokes.length > 0) inks.push((context, zoom) => paintStrokes(context, strokes, placement, zoom));
    else if (at) inks.push((context, zoom) => paintCross(context, toPaper(placement, at), zoom));
  }
  if (inks.length === 0) return undefined;
  return (context, { camera }) => {
    for (const ink of inks) {
      context.globalAlpha = 1;
      ink(context, camera.zoom);
    }
    context.globalAlpha = 1;
  };
}

function wetInk(wet: Wet | undefined): LayerDraw | undefined {
  if (!wet) return undefined;
  const stroke = { ...wet.stroke, points: [...wet.stroke.points, ...wet.predicted] };
  return (context, { camera }) => {
    context.globalAlpha = wet.rubs ? 0.25 : 1;
    paintStrokes(context, [stroke], wet.placement, camera.zoom);
    context.globalAlpha = 1;
  };
}
