/**
 * The exposure sheet at the edge: frames run down, each drawing's number stands where it starts, and a line
 * goes down through its hold. A thumb that runs along it flips.
 */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { drawingKey, drawingLabelled, levelNamed } from '../shot/drawing-ref.ts';
import { lastFrame } from '../shot/exposures.ts';
import type { Level } from '../shot/model.ts';
import { notationOf } from '../shot/notation.ts';
import { CommandButton } from './command-button.tsx';
import { overlaysOn } from './extensions.ts';
import { LevelPicker } from './level-picker.tsx';
import { flipLabels, playedFrames } from './model.ts';
import { useSession } from './session-context.ts';
import { SheetColumn } from './sheet-column.tsx';
import { clampTop, edgeRun, frameUnder, sheetSizes, topThatShows } from './sheet-view.ts';
import { textScale } from './text-size.ts';
import { UnexposedButton } from './unexposed.tsx';
import { waitWords } from './wait-marks.tsx';
import { waitsHere } from './waits-here.ts';

/** More columns than this would take the paper's room; the level picker leads to the others. */
const mostColumns = 3;

function columnsOf(levels: readonly Level[], flipped: string): readonly Level[] {
  if (levels.length <= mostColumns) return levels;
  const at = Math.max(
    0,
    levels.findIndex(({ name }) => name === flipped),
  );
  const from = Math.min(Math.max(0, at - 1), levels.length - mostColumns);
  return levels.slice(from, from + mostColumns);
}

export function ExposureSheet(): JSX.Element {
  const session = useSession();
  const place = useRef<HTMLDivElement>(null);
  const top = useSignal(0);
  const height = useSignal(600);
  const thumb = useRef<{ y: number } | undefined>(undefined);
  const shot = session.shot.value;
  const model = session.model.value;
  const here = session.onPaper.value;
  const frames = lastFrame(shot);
  const columns = columnsOf(shot.levels, model.level);
  const sizes = sheetSizes(columns, textScale.value);
  const { rowPx } = sizes;
  const level = levelNamed(shot, model.level);
  const drawing = drawingLabelled(level, model.drawing);

  useEffect(() => {
    const element = place.current;
    if (!element) return;
    const watcher = new ResizeObserver(() => {
      height.value = element.clientHeight;
    });
    watcher.observe(element);
    return () => watcher.disconnect();
  }, [height]);

  useEffect(() => {
    if (here && here.frame > 0 && !thumb.current) {
      top.value = topThatShows(top.peek(), here.frame, frames, height.value, rowPx);
    }
  }, [here, frames, height.value, top, rowPx]);

  const flipToThumb = (): void => {
    if (thumb.current)
      session.act({ do: 'frame', frame: frameUnder(thumb.current.y, top.peek(), frames, rowPx) });
  };

  const runAtEdge = (lastMs: number): void => {
    session.clock.onFrame(() => {
      if (!thumb.current) return;
      const nowMs = session.clock.nowMs();
      const rows = (edgeRun(thumb.current.y, height.peek()) * (nowMs - lastMs)) / 1000;
      const next = clampTop(top.peek() + rows, frames, height.peek(), rowPx);
      if (next !== top.peek()) {
        top.value = next;
        flipToThumb();
      }
      runAtEdge(nowMs);
    });
  };

  const onPointerDown = (event: PointerEvent): void => {
    const element = event.currentTarget as Element;
    const box = element.getBoundingClientRect();
    element.setPointerCapture(event.pointerId);
    const column = columns[Math.floor((event.clientX - box.left - sizes.framesPx) / sizes.levelPx)];
    if (column && column.name !== model.level) session.act({ do: 'level', level: column.name });
    thumb.current = { y: event.clientY - box.top };
    session.working.value = true;
    flipToThumb();
    runAtEdge(session.clock.nowMs());
  };
  const onPointerMove = (event: PointerEvent): void => {
    const y = event.clientY - (event.currentTarget as Element).getBoundingClientRect().top;
    if (thumb.current) {
      thumb.current = { y };
      flipToThumb();
    } else if (event.pointerType === 'pen' && event.buttons === 0) {
      // A pen that hovers over the sheet flips without touching it.
      session.act({ do: 'frame', frame: frameUnder(y, top.peek(), frames, rowPx) });
    }
  };
  const onPointerEnd = (): void => {
    thumb.current = undefined;
    session.working.value = false;
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    const by = { ArrowUp: -1, ArrowDown: 1, ArrowLeft: -1, ArrowRight: 1, PageUp: -8, PageDown: 8 }[
      event.key
    ];
    const frame = by === undefined ? { Home: 1, End: frames }[event.key] : session.model.peek().frame + by;
    if (frame === undefined || event.shiftKey || event.ctrlKey) return;
    event.preventDefault();
    session.act({ do: 'frame', frame });
  };

  const width = sizes.framesPx + columns.length * sizes.levelPx;
  const played = model.part && playedFrames(shot, model);
  const inSet = new Set(flipLabels(shot, model));
  const waits = waitsHere(session).value;
  const waiting = waitWords(waits.get(drawingKey(model)));
  const first = Math.floor(top.value) + 1;
  const last = Math.min(frames, Math.ceil(top.value + height.value / rowPx));
  const rows = Array.from({ length: Math.max(0, last - first + 1) }, (_, n) => first + n);
  const yOf = (frame: number): number => (frame - 1 - top.value) * rowPx;

  return (
    <div class="sheet">
      <CommandButton id="shelf" worded />
      {shot.levels.length > 1 && (
        <div class="sheet-head" style={{ width: `${width}px` }}>
          <LevelPicker columns={columns} widthPx={sizes.levelPx} />
        </div>
      )}
      <div class="sheet-rows">
        <div
          class="sheet-run"
          data-row-px={rowPx}
          style={{ width: `${width}px` }}
          ref={place}
          role="slider"
          tabIndex={0}
          aria-label="Exposure sheet"
          aria-orientation="vertical"
          aria-valuemin={1}
          aria-valuemax={Math.max(1, frames)}
          aria-valuenow={Math.max(1, model.frame)}
          aria-valuetext={`frame ${model.frame}, drawing ${model.drawing}${drawing ? `, ${notationOf(drawing).words}` : ''}${waiting && `; ${waiting}`}`}
          onPointerDown={onPointerDown}
          onPointerMove={onPointerMove}
          onPointerUp={onPointerEnd}
          onPointerCancel={onPointerEnd}
          onKeyDown={onKeyDown}
          onWheel={(event) => {
            top.value = clampTop(top.peek() + event.deltaY / rowPx, frames, height.peek(), rowPx);
          }}
        >
          <svg width={width} height={height.value} aria-hidden="true">
            {here && here.frame > 0 && (
              <rect class="here" x={0} y={yOf(here.frame)} width={width} height={rowPx} />
            )}
            {rows.map((frame) => (
              <g key={frame} class={frame % 8 === 1 && frame > 1 ? 'rule strong' : 'rule'}>
                <line x1={0} x2={width} y1={yOf(frame)} y2={yOf(frame)} />
                <text
                  x={sizes.framesPx - 5}
                  y={yOf(frame) + Math.min(rowPx, 2.2 * sizes.numberPx) / 2}
                  text-anchor="end"
                  dominant-baseline="central"
                >
                  {frame}
                </text>
              </g>
            ))}
            {columns.map((column, index) => (
              <SheetColumn
                key={column.name}
                level={column}
                x={sizes.framesPx + index * sizes.levelPx}
                sizes={sizes}
                yOf={yOf}
                first={first}
                last={last}
                labels={column.name === model.level ? inSet : undefined}
                held={model.held[column.name] ?? []}
                waits={waits}
              />
            ))}
            {played && <path class="played" d={`M7 ${yOf(played.from) + 2}H3V${yOf(played.to + 1) - 2}H7`} />}
            {here && here.frame > 0 && (
              <path class="here-point" d={`M${width} ${yOf(here.frame) + 4}l-9 10 9 10z`} />
            )}
          </svg>
          {frames === 0 && <p class="sheet-empty">Nothing is on the sheet yet.</p>}
        </div>
        {overlaysOn('sheet').map(({ id, Body }) => (
          <Body key={id} session={session} rows={{ top: top.value, heightPx: height.value, rowPx, frames }} />
        ))}
      </div>
      <UnexposedButton />
    </div>
  );
}
