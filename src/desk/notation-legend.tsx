import type { ComponentChildren, JSX } from 'preact';
import { Mark } from './mark.tsx';
import { type WaitKind, WaitShape } from './wait-marks.tsx';

const waitLegend: readonly (readonly [WaitKind, string])[] = [
  ['note', 'pennant: a note to mend'],
  ['finding', 'diamond: a finding of the checks'],
  ['look', 'two sheets: a retake, or a note said to be fixed, to look at'],
];

/** The marks on sheet and paper, in words. */
export function NotationLegend(): JSX.Element {
  const third = { from: '1', to: '5', fraction: 1 / 3 };
  const line = (mark: ComponentChildren, words: string): JSX.Element => (
    <li>
      {mark}
      <span>{words}</span>
    </li>
  );
  return (
    <ul class="legend" aria-label="Marks">
      {line(<Mark drawing={{ label: '1', role: 'key', takes: [] }} size={16} />, 'key: circled')}
      {line(
        <Mark drawing={{ label: '5', role: 'breakdown', takes: [] }} size={16} />,
        'breakdown: underlined',
      )}
      {line(<Mark drawing={{ label: '3', role: 'inbetween', takes: [] }} size={16} />, 'in-between: plain')}
      {line(
        <Mark drawing={{ label: '2', role: 'inbetween', chart: third, takes: [] }} size={16} />,
        'in a triangle: favours one side, as on thirds',
      )}
      {line(
        <Mark drawing={{ label: '8', runsOn: true, takes: [] }} size={16} />,
        'an arc beneath: runs on after the pose',
      )}
      {line(
        <svg class="mark-alone" width="32" height="32" aria-hidden="true">
          <rect class="uncleaned" x="12" y="12" width="8" height="8" />
        </svg>,
        'open square: no clean-up yet',
      )}
      {line(
        <svg class="mark-alone" width="32" height="32" aria-hidden="true">
          <path class="held-clip" d="M16 7v18" />
        </svg>,
        'bar: held between the fingers',
      )}
      {waitLegend.map(([kind, words]) =>
        line(
          <svg class="mark-alone" width="32" height="32" aria-hidden="true">
            <WaitShape kind={kind} x={11} y={11} />
          </svg>,
          words,
        ),
      )}
    </ul>
  );
}
