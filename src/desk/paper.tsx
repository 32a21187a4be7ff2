/** The paper: mounts the stage, and says honestly what is not there. */
import { useComputed } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { drawingOf } from '../shot/drawing-ref.ts';
import { cleanOf } from '../shot/takes.ts';
import { createStage } from '../stage/stage.ts';
import { overlaysOn } from './extensions.ts';
import { pictureSource } from './picture-source.ts';
import { useSession } from './session-context.ts';

/** Tools stay pale for as long after the hand has left. */
const restMs = 500;

export function Paper(): JSX.Element {
  const session = useSession();
  const place = useRef<HTMLDivElement>(null);

  useEffect(() => {
    const element = place.current;
    if (!element) return;
    const stage = createStage(element, pictureSource(session.shelf, session.made), session.stageEvents, {
      budgetBytes: session.budgetBytes,
    });
    const detach = session.attach(stage);
    return () => {
      detach();
      stage.destroy();
    };
  }, [session]);

  useEffect(() => {
    // Above the stage, whose pen keeps its events from whatever listens beside it.
    const element = place.current?.parentElement;
    if (!element) return;
    let cancelRest: (() => void) | undefined;
    const down = new Set<number>();
    const pressed = ({ pointerId }: PointerEvent): void => {
      down.add(pointerId);
      cancelRest?.();
      session.working.value = true;
    };
    const lifted = ({ pointerId }: PointerEvent): void => {
      if (!down.delete(pointerId) || down.size > 0) return;
      cancelRest?.();
      cancelRest = session.clock.after(restMs, () => {
        session.working.value = false;
      });
    };
    const ended = new AbortController();
    const options = { capture: true, signal: ended.signal };
    element.addEventListener('pointerdown', pressed, options);
    // A finger may be lifted beside the paper.
    addEventListener('pointerup', lifted, options);
    addEventListener('pointercancel', lifted, options);
    return () => {
      ended.abort();
      cancelRest?.();
    };
  }, [session]);

  return (
    <div class="paper">
      <div class="stage" ref={place} />
      {overlaysOn('paper').map(({ id, Body }) => (
        <Body key={id} session={session} />
      ))}
      <Missing />
    </div>
  );
}

/** What the paper cannot show, in words, where the eye looks for it. */
function Missing(): JSX.Element | null {
  const session = useSession();
  const words = useComputed(() => {
    if (session.paperLost.value)
      return 'The tablet took the paper away for a moment; it comes back by itself.';
    const here = session.onPaper.value;
    if (!here) return '';
    if (!here.complete) return 'Opening the drawing …';
    const drawing = drawingOf(session.shot.value, here);
    const { way } = session.model.value;
    if (!drawing) return 'No drawing at this frame.';
    if (session.laid.value?.words(way)) return '';
    if (!cleanOf(drawing) && way !== 'rough') return 'No clean-up yet';
    if (!drawing.rough && way !== 'clean') return 'No rough for this drawing';
    return '';
  });
  return words.value ? <p class="missing">{words}</p> : null;
}
