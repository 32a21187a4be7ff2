/** Title and rate of the shot. */
import type { JSX } from 'preact';
import { factsEdit } from '../edits.ts';
import type { Session } from '../session.ts';
import { TypedField } from '../typed-field.tsx';

/** Rates in use; broadcast's thirty thousand to a thousand and one too. */
const rates = [
  [12, '12'],
  [15, '15'],
  [24_000 / 1001, '23.976'],
  [24, '24'],
  [25, '25'],
  [30_000 / 1001, '29.97'],
  [30, '30'],
  [50, '50'],
  [60, '60'],
] as const;

export function ShotEditor({ session }: { session: Session }): JSX.Element {
  const shot = session.shot.value;
  const { title, fps } = shot;
  const listed = rates.some(([rate]) => Math.abs(rate - fps) < 1e-6);
  return (
    <fieldset class="choice">
      <legend>Shot</legend>
      <label class="field">
        Title
        <TypedField
          type="text"
          value={title}
          maxLength={200}
          typed={({ value }) => {
            const to = value.trim();
            if (to) session.edit(factsEdit(shot, { title: to, fps }));
          }}
        />
      </label>
      <label class="field">
        Frames a second
        <select
          value={String(fps)}
          onChange={(event) =>
            session.edit(factsEdit(shot, { title, fps: Number(event.currentTarget.value) }))
          }
        >
          {!listed && <option value={String(fps)}>{fps}</option>}
          {rates.map(([rate, words]) => (
            <option key={words} value={String(rate)}>
              {words}
            </option>
          ))}
        </select>
      </label>
      {shot.fpsGuessed && <p class="hint">24 is a guess: nothing that came with the drawings says it.</p>}
    </fieldset>
  );
}
