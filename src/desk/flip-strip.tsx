/**
 * The edges of the drawings on the pegs: the flip set's numbers in a row, with the drawing before and after
 * at its ends. A thumb along it flips drawing by drawing, where the exposure sheet flips frame by frame.
 */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { drawingKey, drawingLabelled, levelNamed } from '../shot/drawing-ref.ts';
import { CommandButton } from './command-button.tsx';
import { edgesAround, edgesFrom, notRunning, runAtEnds } from './flip-edges.ts';
import { Mark } from './mark.tsx';
import { flipLabels, heldOn } from './model.ts';
import { useSession } from './session-context.ts';
import { textScale } from './text-size.ts';
import { WaitMarks } from './wait-marks.tsx';
import { waitsHere } from './waits-here.ts';

export function FlipStrip(): JSX.Element {
  const session = useSession();
  const place = useRef<HTMLDivElement>(null);
  const widthPx = useSignal(800);
  const scale = textScale.value;
  /** Of the system's larger text fewer numbers fit. */
  const roomPx = widthPx.value / scale;
  /** The edges in view stay while a thumb is on them; one that rests at an end pulls further ones in. */
  const held = useRef<{ from: number; xPx: number } | undefined>(undefined);
  const shot = session.shot.value;
  const model = session.model.value;
  const level = levelNamed(shot, model.level);
  const labels = flipLabels(shot, model);
  const here = session.onPaper.value?.drawing;
  const edges = held.current
    ? edgesFrom(labels, held.current.from, roomPx)
    : edgesAround(labels, here ?? model.drawing, roomPx);
  const holds = heldOn(model);
  const waits = waitsHere(session).value;

  useEffect(() => {
    const element = place.current;
    if (!element) return;
    const watcher = new ResizeObserver(() => {
      widthPx.value = element.clientWidth;
    });
    watcher.observe(element);
    return () => watcher.disconnect();
  }, [widthPx]);

  // A desk that is left under a finger runs no further.
  useEffect(
    () => () => {
      held.current = undefined;
    },
    [],
  );

  const flipToThumb = (): void => {
    if (!held.current) return;
    const seen = edgesFrom(labels, held.current.from, roomPx);
    const at = Math.floor((held.current.xPx / widthPx.peek()) * seen.length);
    const label = seen[Math.min(seen.length - 1, Math.max(0, at))];
    if (label !== undefined && label !== session.model.peek().drawing) {
      session.act({ do: 'drawing', label });
    }
  };
  const runOn = (before: typeof notRunning): void => {
    session.clock.onFrame(() => {
      const thumb = held.current;
      if (!thumb) return;
      const { run, by } = runAtEnds(before, thumb.xPx, widthPx.peek(), session.clock.nowMs());
      const most = labels.length - edges.length;
      const from = Math.min(most, Math.max(0, thumb.from + by));
      if (from !== thumb.from) {
        held.current = { ...thumb, from };
        flipToThumb();
      }
      runOn(run);
    });
  };
  const xOf = (event: PointerEvent): number =>
    event.clientX - (event.currentTarget as Element).getBoundingClientRect().left;
  const onPointerDown = (event: PointerEvent): void => {
    if (held.current) return;
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
    held.current = { from: Math.max(0, labels.indexOf(edges[0] ?? '')), xPx: xOf(event) };
    flipToThumb();
    if (edges.length < labels.length) runOn(notRunning);
  };
  const onPointerMove = (event: PointerEvent): void => {
    if (!held.current) return;
    held.current = { ...held.current, xPx: xOf(event) };
    flipToThumb();
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
        onPointerMove={onPointerMove}
        onPointerUp={onPointerEnd}
        onPointerCancel={onPointerEnd}
        onKeyDown={onKeyDown}
      >
        {edges.map((label) => (
          <span
            key={label}
            class={`edge${label === here ? ' top' : ''}${holds.includes(label) ? ' held' : ''}`}
          >
            <Mark drawing={drawingLabelled(level, label) ?? { label, takes: [] }} size={14 * scale} />
            <WaitMarks waits={waits.get(drawingKey({ level: model.level, drawing: label }))} />
          </span>
        ))}
      </div>
      <CommandButton id="on" />
    </div>
  );
}
