/**
 * A dot of the drawing in hand, to be put right by finger, pen or arrow keys. The grip hangs below the dot, so that the
 * place itself is seen beside the finger.
 */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import type { Point } from '../../line/path/step-place.ts';
import type { Session } from '../session.ts';
import type { PathDesk, ShownPath } from './path-desk.ts';

interface DotHandleProps {
  readonly session: Session;
  readonly desk: PathDesk;
  readonly path: ShownPath;
  /** Px of the paper. */
  readonly at: Point;
}

/** From the dot to the middle of its grip, CSS px: clear of a fingertip. */
const GRIP_CSS_PX = 40;

const ARROWS: Readonly<Record<string, Point>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

export function DotHandle({ session, desk, path, at }: DotHandleProps): JSX.Element | null {
  const grabbed = useSignal<{ readonly dx: number; readonly dy: number } | undefined>(undefined);
  // Read, so that the handle goes with the paper.
  void session.camera.value;
  const stage = session.stage.value;
  if (!stage) return null;
  const held = desk.held.value;
  const now = held?.place === path.place ? held.at : at;
  const [x, y] = stage.toStage(now);
  const drop = (): void => {
    const { value } = desk.held;
    grabbed.value = undefined;
    desk.held.value = undefined;
    if (value?.place === path.place) desk.putRight(path.place, value.at);
  };
  return (
    <button
      type="button"
      class="path-grip"
      aria-label={`Place ${path.letter}: put its dot right. Arrow keys move it, Enter puts it down`}
      style={{ transform: `translate(${x}px, ${y + GRIP_CSS_PX}px) translate(-50%, -50%)` }}
      onPointerDown={(event) => {
        event.stopPropagation();
        event.currentTarget.setPointerCapture(event.pointerId);
        grabbed.value = { dx: x - event.clientX, dy: y - event.clientY };
      }}
      onPointerMove={(event) => {
        const from = grabbed.peek();
        if (!from) return;
        const to = [event.clientX + from.dx, event.clientY + from.dy] as const;
        desk.held.value = { place: path.place, at: stage.toPaper(to) };
      }}
      onPointerUp={drop}
      onPointerCancel={() => {
        grabbed.value = undefined;
        desk.held.value = undefined;
      }}
      onKeyDown={(event) => {
        const way = ARROWS[event.key];
        if (way) {
          const far = event.shiftKey ? 10 : 1;
          desk.held.value = { place: path.place, at: [now[0] + far * way[0], now[1] + far * way[1]] };
        } else if (event.key === 'Enter' && held) drop();
        else if (event.key === 'Escape' && held) desk.held.value = undefined;
        else return;
        event.preventDefault();
      }}
      onBlur={() => {
        if (desk.held.peek()?.place === path.place && !grabbed.peek()) drop();
      }}
    >
      {path.letter}
    </button>
  );
}
