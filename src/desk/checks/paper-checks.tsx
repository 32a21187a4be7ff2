/** The checks on the paper: heat or openings over the line, the finding in hand, the paint test; and their legend. */
import { effect } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { keysWeightPx, type Measured } from '../../check/measured.ts';
import { scaled } from '../../check/tolerances.ts';
import type { Box } from '../../line/picture.ts';
import type { LayerDraw } from '../../stage/types.ts';
import { type Placement, placementOf } from '../notes/place.ts';
import { pencilCircle, seedOf } from '../pencil.ts';
import type { Session } from '../session.ts';
import { type ChecksDesk, checksOf, cleanIn } from './checks-desk.ts';
import { heatOf } from './heat.ts';
import { type HeatBands, heatBands, paintHeat } from './heat-paint.ts';
import { keepSwitches } from './keep-switches.ts';
import { Legend } from './legend.tsx';
import { openingsOf, paintOpenings } from './openings.ts';
import { PaintStrip } from './paint-strip.tsx';
import { paintOfPaint, paintTestOf } from './paint-test.ts';
import { switchesOf } from './switches.ts';

export function PaperChecks({ session }: { session: Session }): null {
  const desk = checksOf(session);
  const switches = switchesOf(session);
  const paint = paintTestOf(session);
  useEffect(() => keepSwitches(session), [session]);
  useEffect(() => {
    const bands = bandsKept();
    const stopStage = effect(() => {
      const stage = session.stage.value;
      if (!stage) return;
      const over = stage.layer(() => overLine(session, desk, bands));
      const marks = stage.layer(() => marksOn(session, desk));
      const stops = [
        effect(() => {
          void [switches.over.value, desk.measured.value, desk.tolerances.value, desk.rest.resting.value];
          void [session.onPaper.value, session.shot.value];
          over.redraw();
        }),
        effect(() => {
          void [desk.chosen.value, desk.listed.value, session.onPaper.value, session.shot.value];
          void [switches.paint.value, paint.answer.value, desk.rest.resting.value];
          marks.redraw();
        }),
      ];
      return () => {
        for (const stop of stops) stop();
        over.remove();
        marks.remove();
      };
    });
    return () => {
      stopStage();
      paint.close();
      desk.close();
    };
  }, [session, desk, switches, paint]);
  return null;
}

/** In the line under the paper: the paint test, and what lies over the line. */
export function ChecksLine({ session }: { session: Session }): JSX.Element {
  return (
    <>
      {switchesOf(session).paint.value && <PaintStrip session={session} />}
      <Legend session={session} />
    </>
  );
}

/** What was measured of the drawing on the paper, and how its picture lies there. */
function onPaper(session: Session, desk: ChecksDesk) {
  const here = session.onPaper.peek();
  const level = here && desk.measured.peek().get(here.level);
  const measured = level?.find(({ drawing }) => drawing.label === here?.drawing);
  const clean = here && cleanIn(session.shot.peek(), here);
  if (!level || !measured || !clean) return undefined;
  return { level, measured, placement: placementOf(session.shot.peek(), clean, [clean.width, clean.height]) };
}

/** In px of the drawing from here on. */
function laid(context: CanvasRenderingContext2D, { offsetPx, scale }: Placement): void {
  context.translate(...offsetPx);
  context.scale(...scale);
}

function overLine(
  session: Session,
  desk: ChecksDesk,
  bands: ReturnType<typeof bandsKept>,
): LayerDraw | undefined {
  const over = switchesOf(session).over.peek();
  // A hand that flips looks at the drawings; bands come back when it rests.
  if (over === 'none' || !desk.rest.resting.peek()) return undefined;
  const here = onPaper(session, desk);
  if (!here) return undefined;
  const paperScale = session.shot.peek().sizePx[0] / 2048;
  if (over === 'openings') {
    const openings = openingsOf(here.measured);
    return (context, { camera }) => {
      laid(context, here.placement);
      paintOpenings(context, openings, camera.zoom, paperScale);
    };
  }
  const tolerances = scaled(desk.tolerances.peek(), session.shot.peek().sizePx[0]);
  const made = bands.get(
    here.measured,
    `${over} ${JSON.stringify(tolerances)} ${keysWeightPx(here.level)}`,
    () => {
      const heat = heatOf(over, here.measured, here.level, tolerances);
      return 'refused' in heat ? undefined : heatBands(heat);
    },
  );
  if (!made) return undefined;
  return (context, { camera }) => {
    laid(context, here.placement);
    paintHeat(context, made, camera.zoom, paperScale);
  };
}

/** Bands of the last few drawings: a pan draws the same again and again. */
function bandsKept() {
  const kept = new Map<Measured, { readonly by: string; readonly bands: HeatBands | undefined }>();
  return {
    get(measured: Measured, by: string, make: () => HeatBands | undefined): HeatBands | undefined {
      const known = kept.get(measured);
      if (known?.by === by) return known.bands;
      kept.delete(measured);
      const made = { by, bands: make() };
      kept.set(measured, made);
      for (const oldest of kept.keys()) {
        if (kept.size <= 6) break;
        kept.delete(oldest);
      }
      return made.bands;
    },
  };
}

function marksOn(session: Session, desk: ChecksDesk): LayerDraw | undefined {
  const here = session.onPaper.peek();
  const clean = here && cleanIn(session.shot.peek(), here);
  if (!here || !clean) return undefined;
  const paint = paintOfPaint(session);
  const inHand = desk.listed.peek().find(({ finding }) => finding.key === desk.chosen.peek())?.finding;
  const chosen =
    inHand && inHand.level === here.level && inHand.drawing === here.drawing ? inHand : undefined;
  if (!paint && !chosen) return undefined;
  const placement = placementOf(session.shot.peek(), clean, [clean.width, clean.height]);
  return (context, { camera }) => {
    laid(context, placement);
    paint?.(context, camera.zoom);
    for (const spot of chosen ? (chosen.spots ?? [chosen.bbox]) : [])
      paintRing(context, spot, `${chosen?.key} ${spot[0]}`, camera.zoom);
  };
}

/** Round the place of the finding in hand: the one accent, with a pale edge on dark line. */
function paintRing(
  context: CanvasRenderingContext2D,
  [x, y, width, height]: Box,
  key: string,
  zoom: number,
): void {
  const least = 20 / zoom;
  const ring = new Path2D(
    pencilCircle(
      x + width / 2,
      y + height / 2,
      Math.max(least, width * 0.6),
      Math.max(least, height * 0.6),
      seedOf(key),
    ),
  );
  context.lineCap = 'round';
  for (const [colour, cssPx] of [
    ['rgb(255 255 255)', 6],
    ['rgb(163 44 0)', 3],
  ] as const) {
    context.strokeStyle = colour;
    context.lineWidth = cssPx / zoom;
    context.stroke(ring);
  }
}
