import type { JSX } from 'preact';

/** A list hangs on the pegs as a drawing does: one round hole between two long ones. */
export function PegHoles(): JSX.Element {
  return (
    <svg class="fix-holes" width="300" height="22" viewBox="0 0 300 22" aria-hidden="true">
      <rect x="2" y="6" width="46" height="10" rx="4" />
      <circle cx="150" cy="11" r="7" />
      <rect x="252" y="6" width="46" height="10" rx="4" />
    </svg>
  );
}
