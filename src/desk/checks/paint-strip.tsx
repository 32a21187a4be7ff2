/** What the paint test says, and how wide a gap may be. */

import { useComputed } from '@preact/signals';
import type { JSX } from 'preact';
import { Icon } from '../icons.tsx';
import type { Session } from '../session.ts';
import { Slide } from '../slide.tsx';
import type { Paint } from './messages.ts';
import { answerHere, paintTestOf } from './paint-test.ts';
import { switchesOf } from './switches.ts';

const mostGapPx = 60;

export function PaintStrip({ session }: { session: Session }): JSX.Element {
  const test = paintTestOf(session);
  const words = useComputed(() => {
    const painted = answerHere(session).value;
    if (!painted) return 'Tap a region: what would fill is tinted.';
    if (painted.refused) return painted.refused;
    return painted.paint ? paintWords(painted.paint) : 'Filling …';
  });
  return (
    <div class="checks-strip" role="group" aria-label="Paint test">
      <p role="status">{words}</p>
      <button
        type="button"
        class="in-text"
        title="Without a tap: try the middle of what is seen"
        onClick={() => {
          const stage = session.stage.peek();
          if (stage) test.ask(stage.camera().centre);
        }}
      >
        Try the middle
      </button>
      <Slide
        label="Gaps up to"
        value={test.gapPx.value}
        min={1}
        max={mostGapPx}
        step={1}
        says={`${test.gapPx.value} px`}
        set={(value) => {
          test.gapPx.value = value;
        }}
      />
      <button
        type="button"
        class="tool"
        aria-label="End the paint test"
        onClick={() => {
          switchesOf(session).paint.value = false;
        }}
      >
        <Icon name="close" />
      </button>
    </div>
  );
}

const px = (value: number): string => `${value < 3 ? value.toFixed(1) : Math.round(value)} px`;

function paintWords({ holds, through, areaPx2 }: Paint): string {
  if (holds && through.length > 0) return `Runs on into the next region through ${gapsInWords(through)}.`;
  if (holds) return `Closed: ${areaPx2.toLocaleString('en')} px² are filled.`;
  if (through.length > 0) return `Runs out through ${gapsInWords(through)}.`;
  return 'Runs to the edge of the paper; no gap this narrow lets it out.';
}

function gapsInWords(through: Paint['through']): string {
  const widths = through.map(({ widthPx }) => px(widthPx));
  return widths.length === 1 ? `a gap of ${widths[0]}` : `${widths.length} gaps: ${widths.join(', ')}`;
}
