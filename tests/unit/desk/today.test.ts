/** Today's list: what waits on several shots, in the order in which it is mended. By hand from what people said. */
import { expect, test } from 'vitest';
import { byDueDay, shotToday } from '../../../src/app/today/today.ts';
import type { Entry } from '../../../src/note/entry.ts';
import type { FixFinding } from '../../../src/note/fix-list.ts';
import { usualPlan } from '../../../src/note/outlook.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { ana, dov, entry, pinBody } from '../note/make.ts';
import { figure } from './a-shot.ts';

const base: Shot = { id: 'shot-t', title: 'The hat', fps: 24, sizePx: [1920, 1080], levels: [figure] };
const day = { day: 20_000, utcOffsetMinutes: 0 };
const none = { findings: [], unchecked: 0 };
const pin = (id: string, drawing: string, text = 'The brim swells.'): Entry =>
  entry(
    pinBody({ level: 'figure', drawing, drawings: [drawing], text, image: `c${drawing}`.padEnd(64, '0') }),
    10,
    dov,
    id,
  );
const leak: FixFinding = {
  check: 'leaks',
  level: 'figure',
  drawing: '5',
  bbox: [1, 2, 3, 4],
  message: 'opens 6 px',
  key: 'k',
  lineDigest: 'd',
};

test('to mend stands in working order, keys first; what is fixed waits for a look', () => {
  const entries = [
    pin('n1', '2'),
    pin('n2', '1', ''),
    pin('n3', '9'),
    entry({ kind: 'state', to: 'n3', state: 'fixed' }, 20, ana),
  ];
  const { mend, look } = shotToday(base, entries, { findings: [leak], unchecked: 2 }, day);
  expect(mend.map(({ at, says }) => [at.drawing, ...says])).toEqual([
    ['1', 'A drawn note about volume'],
    ['5', 'opens 6 px'],
    ['2', 'The brim swells.'],
  ]);
  expect(look.map(({ at }) => at.drawing)).toEqual(['9']);
});

test('who has which drawings is told by name, in their own words', () => {
  const has = (drawing: string, state: 'in clean-up' | 'clean'): Entry =>
    entry({ kind: 'drawing state', level: 'figure', drawing, state }, undefined, ana);
  const { hands } = shotToday(
    base,
    [has('3', 'in clean-up'), has('7', 'in clean-up'), has('7', 'clean')],
    none,
    day,
  );
  expect(hands).toEqual([{ name: 'Ana', drawings: ['3'] }]);
});

test('the shot that is due first comes first, one without a day last', () => {
  const due = (id: string, on: string | null) =>
    shotToday({ ...base, id, title: id }, [entry({ ...usualPlan, due: on }, 5)], none, day);
  const order = byDueDay([due('none', null), due('later', '2026-12-24'), due('soon', '2026-12-01')]);
  expect(order.map(({ shot }) => shot.id)).toEqual(['soon', 'later', 'none']);
});
