/** The paths on the paper: their arcs on a layer, and a handle for each dot of the drawing in hand. */
import { effect, useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import type { PenHand, Session } from '../session.ts';
import { DotHandle } from './dot-handle.tsx';
import { paintPath } from './paint-path.ts';
import { type PathDesk, pathsOf } from './path-desk.ts';

export function PaperPaths({ session }: { session: Session }): JSX.Element {
  const desk = pathsOf(session);
  const element = useSignal<HTMLElement | null>(null);
  useEffect(() => {
    const stopStage = effect(() => {
      const stage = session.stage.value;
      if (!stage) return;
      const layer = stage.layer(() => {
        const paths = desk.shown.peek();
        const here = session.onPaper.peek()?.drawing;
        const held = desk.held.peek();
        if (paths.length === 0) return undefined;
        return (context, view) => {
          for (const path of paths) paintPath(context, view, path, here, held);
        };
      });
      const follow = effect(() => {
        void [desk.shown.value, desk.held.value, session.onPaper.value];
        layer.redraw();
      });
      return () => {
        follow();
        layer.remove();
      };
    });
    /** While the panel stands open a tap follows a place; else the pen is another's. */
    const stopHand = effect(() =>
      session.panel.value === 'path' ? session.takePen(tapHand(desk)) : undefined,
    );
    return () => {
      stopStage();
      stopHand();
      desk.close();
    };
  }, [session, desk]);
  const here = session.onPaper.value?.drawing;
  return (
    <div
      class="path-handles"
      ref={(node) => {
        element.value = node;
      }}
    >
      {session.panel.value === 'path' &&
        desk.shown.value.map((path) => {
          const dot = path.dots.find(({ label }) => label === here)?.dot;
          return dot?.at ? (
            <DotHandle key={path.place} session={session} desk={desk} path={path} at={dot.at} />
          ) : null;
        })}
    </div>
  );
}

/** A pen set down is a tap too; what it drew meanwhile is nothing. */
function tapHand(desk: PathDesk): PenHand {
  return {
    pen(phase, [first]) {
      if (phase === 'down' && first) desk.follow([first.x, first.y]);
    },
    hover: () => undefined,
    tap: (paper) => desk.follow(paper),
  };
}
