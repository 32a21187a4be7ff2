/** The first words, on the shelf until somebody says who works here or that they were read: touch first, keys after. */
import type { JSX } from 'preact';
import { heldByPass, setTable, table } from '../desk/table.ts';
import { RoleChoice } from '../desk/who-i-am.tsx';

export function FirstSteps(): JSX.Element | null {
  if (table.value.whoAsked) return null;
  return (
    <section class="first-steps" aria-label="First steps">
      <ul>
        <li>Tap a shot. Run a finger across the paper, or a thumb along the sheet: the drawings flip.</li>
        <li>Rest a finger on the paper: the rough lies there for as long.</li>
        <li>Draw on it with the pen: a note is pinned there. Two fingers move, zoom and turn the paper.</li>
        <li>With a keyboard: arrows flip, Space plays, ? lists the rest.</li>
      </ul>
      {!heldByPass.value && <RoleChoice />}
      <button type="button" class="button" onClick={() => setTable({ whoAsked: true })}>
        Understood
      </button>
    </section>
  );
}
