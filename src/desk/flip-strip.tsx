/**
 * The edges of the drawings on the pegs: the flip set's numbers in a row, with the drawing before and after
 * at its ends. A thumb along it flips drawing by drawing, where the exposure sheet flips frame by frame.
 */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { drawingLabelled, levelNamed } from '../shot/drawing-ref.ts';
import { CommandButton } from './command-button.tsx';
import { edgesAround } from './flip-edges.ts';
import { Mark } from './mark.tsx';
import { flipLabels, heldOn } from './model.ts';
import { useSession } from './session-context.ts';

export function FlipStrip(): JSX.Element {
  const session = useSession();
  const place = useRef<HTMLDivElement>(null);
  const widthPx = useSignal(800);
  /** The edges in view stay while a thumb is on them, so that they do not run from under it. */
  const held = useRef<readonly string[] | undefined>(undefined);
  const shot = session.shot.value;
  const model = session.model.value;
  const level = levelNamed(shot, model.level);
  const labels = flipLabels(shot, model);
  const here = session.onPaper.value?.drawing;
  const edges = held.current ?? edgesAround(labels, here ?? model.drawing, widthPx.value);
  const holds = heldOn(model);

  useEffect(() => {
    const element = place.current;
    if (!element) return;
    const watcher = new ResizeObserver(() => {
      widthPx.value = element.clientWidth;
    });
    watcher.observe(element);
    return () => watcher.disconnect();
  }, [widthPx]);

  const flipTo = (event: PointerEvent): void => {
    const box = (event.currentTarget as Element).getBoundingClientRect();
    const seen = held.current ?? [];
    const at = Math.floor(((event.clientX - box.left) / box.width) * seen.length);
    const label = seen[Math.min(seen.length - 1, Math.max(0, at))];
    if (label !== undefined && label !== session.model.peek().drawing) {
      session.act({ do: 'drawing', label });
    }
  };
  const onPointerDown = (event: PointerEvent): void => {
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
    held.current = edges;
    flipTo(event);
  };
  const onPointerEnd = (): void => {
    held.current = undefined;
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    const by = { ArrowUp: -1, ArrowDown: 1, ArrowLeft: -1, ArrowRight: 1, PageUp: -5, PageDown: 5 }[
      event.key
    ];
    const which = ({ Home: 'first', End: 'last' } as const)[event.key];
    if ((by ?? which) === undefined || event.shiftKey || event.ctrlKey) return;
    event.preventDefault();
    session.act(which ? { do: 'end', which } : { do: 'step', by: by ?? 0 });
  };

  return (
    <div class="flip-strip">
      <CommandButton id="back" />
      <div
        class="edges"
        ref={place}
        role="slider"
        tabIndex={0}
        aria-label="Drawings on the pegs"
        aria-valuemin={1}
        aria-valuemax={Math.max(1, labels.length)}
        aria-valuenow={Math.max(1, labels.indexOf(model.drawing) + 1)}
        aria-valuetext={`drawing ${model.drawing}`}
        onPointerDown={onPointerDown}
        onPointerMove={(event) => held.current && flipTo(event)}
        onPointerUp={onPointerEnd}
        onPointerCancel={onPointerEnd}
        onKeyDown={onKeyDown}
      >
        {edges.map((label) => (
          <span
            key={label}
            class={`edge${label === here ? ' top' : ''}${holds.includes(label) ? ' held' : ''}`}
          >
            <Mark drawing={drawingLabelled(level, label) ?? { label, takes: [] }} size={14} />
          </span>
        ))}
      </div>
      <CommandButton id="on" />
    </div>
  );
}
