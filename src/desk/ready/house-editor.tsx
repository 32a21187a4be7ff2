/** The rules of the house for line: said once for a shot, by an assistant or a director. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { rulesWords } from '../../check/ready/house.ts';
import type { HouseRules } from '../../note/entry.ts';
import { Choice } from '../choice.tsx';
import type { Session } from '../session.ts';
import { TypedField } from '../typed-field.tsx';
import { readyDeskOf } from './ready-desk.ts';

const edgeWords = { either: 'As it comes', soft: 'Anti-aliased', hard: 'Without' } as const;
const paperWords = { either: 'As it comes', white: 'White', transparent: 'Transparent' } as const;
const mostColours = 32;
const mostLevels = 128;

export function HouseEditor({ session }: { session: Session }): JSX.Element {
  const desk = readyDeskOf(session);
  const rules = desk.house.value;
  const allowed = session.ledger.may(rules);
  const picked = useSignal('#c81e1e');
  const set = (change: Partial<HouseRules>): void => {
    const next = { ...desk.house.peek(), ...change };
    desk.setHouse(next, `Rules of the house: ${rulesWords(next) || 'none'}`);
  };
  const { colours } = rules;
  const add = (): void => {
    const colour = picked.peek().toLowerCase();
    if (colours.some((one) => one.colour === colour))
      session.notice.value = { says: `${colour} is among the line colours already.` };
    else set({ colours: [...colours, { colour, what: '' }] });
  };
  return (
    <fieldset class="house choice" disabled={!allowed.may}>
      <legend>Rules of the house for line</legend>
      {!allowed.may && <p class="hint">{allowed.reason}</p>}
      <Choice name="Anti-aliasing" words={edgeWords} now={rules.edges} choose={(edges) => set({ edges })} />
      <Choice name="Paper" words={paperWords} now={rules.paper} choose={(paper) => set({ paper })} />
      <div class="house-colours" role="group" aria-label="Line colours">
        <p class="choice-name">Line colours</p>
        {colours.length === 0 && <p class="hint">Any. Add the first one, and no other may be there.</p>}
        <ul>
          {colours.map(({ colour, what }, index) => (
            <li key={colour}>
              <span class="house-swatch" style={{ background: colour }} aria-hidden="true" />
              <span class="house-code">{colour}</span>
              <TypedField
                type="text"
                maxLength={100}
                placeholder="what it is for"
                aria-label={`What ${colour} is for`}
                value={what}
                typed={({ value }) =>
                  set({
                    colours: colours.map((one, n) => (n === index ? { ...one, what: value.trim() } : one)),
                  })
                }
              />
              <button
                type="button"
                class="button"
                aria-label={`Take away ${colour}`}
                onClick={() => set({ colours: colours.filter((_, n) => n !== index) })}
              >
                Take away
              </button>
            </li>
          ))}
        </ul>
        {colours.length < mostColours && (
          <p class="house-add">
            <input
              type="color"
              aria-label="Another line colour"
              value={picked.value}
              onInput={(event) => {
                picked.value = event.currentTarget.value;
              }}
            />
            <button type="button" class="button" onClick={add}>
              Add {picked.value}
            </button>
            {colours.every(({ colour }) => colour !== '#000000') && (
              <button
                type="button"
                class="button"
                onClick={() => set({ colours: [...colours, { colour: '#000000', what: '' }] })}
              >
                Add black
              </button>
            )}
          </p>
        )}
      </div>
      {(colours.length > 0 || rules.edges !== 'either' || rules.paper !== 'either') && (
        <label class="house-within">
          A pixel may be off by
          <TypedField
            type="number"
            min={0}
            max={mostLevels}
            step={1}
            aria-label="A pixel may be off by, levels of 255"
            value={rules.withinLevels}
            typed={({ valueAsNumber, validity }) => {
              if (validity.valid && Number.isInteger(valueAsNumber)) set({ withinLevels: valueAsNumber });
              else session.notice.value = { says: `It goes from 0 to ${mostLevels} whole levels of 255.` };
            }}
          />
          of 255
        </label>
      )}
    </fieldset>
  );
}
