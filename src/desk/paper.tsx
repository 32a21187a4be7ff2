/** The paper: mounts the stage. */
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
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
    <section class="paper" aria-label="Paper">
      <div class="stage" ref={place} />
      {overlaysOn('paper').map(({ id, Body }) => (
        <Body key={id} session={session} />
      ))}
    </section>
  );
}
