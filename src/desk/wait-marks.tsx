/** What waits on a drawing, by shape: a pennant for notes, a diamond for findings, two sheets for what wants a look. */
import type { JSX } from 'preact';
import { isToLookAt, type Waits } from '../note/waits.ts';

export type WaitKind = 'note' | 'finding' | 'look';

/** Edge of a mark, px. */
export const waitMarkPx = 9;

const shapes: Readonly<Record<WaitKind, string>> = {
  note: 'M1.2 9V.4L8.6 3 1.2 5.6',
  finding: 'M4.5.6l3.9 3.9-3.9 3.9L.6 4.5z',
  look: 'M.7 3.1h5.2v5.2H.7zM3 3.1V.7h5.3v5.2H5.9',
};

export const waitKinds = (waits: Waits | undefined): WaitKind[] =>
  waits
    ? [
        ...(waits.notes > 0 ? (['note'] as const) : []),
        ...(waits.findings > 0 ? (['finding'] as const) : []),
        ...(isToLookAt(waits) ? (['look'] as const) : []),
      ]
    : [];

export function WaitShape({ kind, x, y }: { kind: WaitKind; x: number; y: number }): JSX.Element {
  return <path class={`wait ${kind}`} d={shapes[kind]} transform={`translate(${x} ${y})`} />;
}

/** The marks of one drawing in a row, as an element of its own. */
export function WaitMarks({ waits }: { waits: Waits | undefined }): JSX.Element | null {
  const kinds = waitKinds(waits);
  if (kinds.length === 0) return null;
  const width = kinds.length * (waitMarkPx + 2);
  return (
    <svg
      class="wait-marks"
      width={width}
      height={waitMarkPx}
      viewBox={`0 0 ${width} ${waitMarkPx}`}
      aria-hidden="true"
    >
      {kinds.map((kind, n) => (
        <WaitShape key={kind} kind={kind} x={n * (waitMarkPx + 2) + 1} y={0} />
      ))}
    </svg>
  );
}

const counted = (count: number, one: string): string[] =>
  count === 0 ? [] : [`${count} ${count === 1 ? one : `${one}s`}`];

/** `2 notes, 1 finding, 1 fixed, take 2`; empty when nothing waits. */
export function waitWords(waits: Waits | undefined): string {
  if (!waits) return '';
  const { notes, findings, fixed, retake } = waits;
  return [
    ...counted(notes, 'note'),
    ...counted(findings, 'finding'),
    ...(fixed > 0 ? [`${fixed} fixed`] : []),
    ...(retake === undefined ? [] : [`take ${retake}`]),
  ].join(', ');
}
