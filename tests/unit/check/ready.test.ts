/** What stands between a shot and ink and paint. What must be told stands in the shots and entries written here. */
import { describe, expect, it } from 'vitest';
import type { HouseFound } from '../../../src/check/ready/house.ts';
import { changedSince, proofOf } from '../../../src/check/ready/proof.ts';
import { type ReadyInput, type ReadyName, readyNames, readyOf } from '../../../src/check/ready/ready.ts';
import { defaultTolerances } from '../../../src/check/tolerances.ts';
import type { Entry } from '../../../src/note/entry.ts';
import type { FixFinding } from '../../../src/note/fix-list.ts';
import { may } from '../../../src/note/may.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import { houseRulesIn, noRules } from '../../../src/note/said-house-rules.ts';
import { standingsOf } from '../../../src/note/standing.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { ana, dov, entry, shot as guessed, ines, pinBody } from '../note/make.ts';

const image = (digit: string) => ({
  sha256: digit.repeat(64),
  width: 1920,
  height: 1080,
  mediaType: 'image/png',
  byteLength: 9,
});
/** Drawings 1, 3 and 5 clean, on twos, and said so. */
const clean: Shot = {
  ...guessed,
  levels: guessed.levels.map((level) => ({
    ...level,
    exposuresGuessed: false,
    drawings: level.drawings.map((drawing) => ({
      ...drawing,
      takes: [{ number: 1, image: image(drawing.label) }],
    })),
  })),
};
const approved = ['1', '3', '5'].map((drawing) =>
  entry({ kind: 'drawing state', level: '', drawing, state: 'approved' }),
);
const finding = (check: string, drawing = '3'): FixFinding => ({
  check,
  level: '',
  drawing,
  bbox: [10, 20, 30, 40],
  message: `${check} is off`,
  key: `${check}/${drawing}`,
  lineDigest: 'd',
});
const input = (
  some: Partial<Omit<ReadyInput, 'standings' | 'notes'>> & {
    readonly entries?: readonly Entry[];
    readonly findings?: readonly FixFinding[];
  } = {},
): ReadyInput => {
  const { entries = approved, findings = [], ...rest } = some;
  const notes = mergeNotes(entries);
  return {
    shot: clean,
    notes,
    standings: standingsOf(notes, findings),
    measuring: false,
    unjudged: [],
    tolerances: defaultTolerances,
    house: noRules,
    houseFound: new Map(),
    ...rest,
  };
};
const notHeld = (given: ReadyInput): ReadyName[] =>
  readyOf(given).lines.flatMap(({ name, state }) => (state === 'holds' ? [] : [name]));
const placesOf = (given: ReadyInput, name: ReadyName) =>
  readyOf(given).lines.find((line) => line.name === name)?.places ?? [];

it('a shot of which everything holds is ready', () => {
  const { ready, lines, aside } = readyOf(input());
  expect(ready).toBe(true);
  expect(lines.map(({ name }) => name)).toEqual([...readyNames]);
  expect(aside).toEqual([]);
});

describe('one thing in the way each, told at its place, and nothing else', () => {
  const without = (label: string): Shot => ({
    ...clean,
    levels: clean.levels.map((level) => ({
      ...level,
      drawings: level.drawings.map((one) => (one.label === label ? { ...one, takes: [] } : one)),
    })),
  });
  it('a drawing without a clean-up is missing in the list and on its frame', () => {
    // "has no clean-up yet" of the checks is the same thing, and is not told a third time.
    const given = input({ shot: without('3'), findings: [finding('missing')] });
    expect(notHeld(given)).toEqual(['clean', 'sheet']);
    expect(placesOf(given, 'clean')).toEqual([{ level: '', drawing: '3', says: 'has no clean-up' }]);
    expect(placesOf(given, 'sheet')).toMatchObject([{ drawing: '3', frame: 3 }]);
  });
  it('a drawing that nobody approved, or of which a newer take came', () => {
    expect(notHeld(input({ entries: approved.slice(1) }))).toEqual(['approved']);
    const newer = entry({ kind: 'take', level: '', drawing: '5', image: image('9') });
    const first = entry({ kind: 'take', level: '', drawing: '5', image: image('5') }, 0);
    expect(placesOf(input({ entries: [first, ...approved, newer] }), 'approved')).toMatchObject([
      { drawing: '5', says: 'is clean, not approved' },
    ]);
  });
  it('a note until it is approved, a withdrawn one never', () => {
    const pin = entry(pinBody());
    const fixed = entry({ kind: 'state', to: pin.id, state: 'fixed' }, undefined, ana);
    const settled = entry({ kind: 'state', to: pin.id, state: 'approved' });
    const gone = entry({ kind: 'withdraw', to: pin.id });
    expect(notHeld(input({ entries: [...approved, pin] }))).toEqual(['notes']);
    expect(placesOf(input({ entries: [...approved, pin, fixed] }), 'notes')).toMatchObject([
      { drawing: '3', note: pin.id, says: 'fixed, to be looked at: The cheek swells here.' },
    ]);
    expect(notHeld(input({ entries: [...approved, pin, fixed, settled] }))).toEqual([]);
    expect(notHeld(input({ entries: [...approved, pin, gone] }))).toEqual([]);
  });
  it('frames on which nothing is, and exposures that were guessed', () => {
    const [level] = clean.levels;
    const gap = { ...level!, exposures: level!.exposures.filter(({ drawing }) => drawing !== '3') };
    expect(placesOf(input({ shot: { ...clean, levels: [gap] } }), 'sheet')).toEqual([
      { level: '', drawing: '', frame: 3, says: 'nothing on frames 3 to 4' },
    ]);
    // Another level that fills them is enough: a level by itself may be blank.
    const under = { ...level!, name: 'under', exposures: [{ drawing: '1', frame: 1, length: 6 }] };
    expect(notHeld(input({ shot: { ...clean, levels: [gap, under] } }))).toEqual(['approved']);
    const guess = { ...clean, levels: [{ ...level!, exposuresGuessed: true }] };
    expect(notHeld(input({ shot: guess }))).toEqual(['sheet']);
  });
  it.each([
    ['leaks', 'closed'],
    ['weight', 'weight'],
    ['specks', 'specks'],
    ['size', 'numbers'],
    ['missing', 'numbers'],
  ] as const)('a finding of %s, until it is dismissed', (check, name) => {
    const found = [finding(check)];
    expect(notHeld(input({ findings: found }))).toEqual([name]);
    expect(placesOf(input({ findings: found }), name)).toMatchObject([
      { drawing: '3', bbox: [10, 20, 30, 40], finding: `${check}/3` },
    ]);
    const dismissal = entry({
      kind: 'dismiss',
      level: '',
      drawing: '3',
      finding: `${check}/3`,
      lineDigest: 'd',
      reason: 'meant',
    });
    expect(notHeld(input({ findings: found, entries: [...approved, dismissal] }))).toEqual([]);
    const redrawn = [{ ...finding(check), lineDigest: 'e' }];
    expect(notHeld(input({ findings: redrawn, entries: [...approved, dismissal] }))).toEqual([name]);
  });
  it('drift, volume, spacing and boil are for the eye and stop nothing', () => {
    const given = input({ findings: ['drift', 'volume', 'spacing', 'boil'].map((check) => finding(check)) });
    expect(readyOf(given).ready).toBe(true);
    expect(readyOf(given).aside).toHaveLength(4);
  });
  it('what is still being measured is not ready, and does not stand in the way either', () => {
    const { ready, lines } = readyOf(input({ measuring: true }));
    expect(ready).toBe(false);
    expect(lines.filter(({ state }) => state === 'waits').map(({ name }) => name)).toEqual([
      'numbers',
      'closed',
      'weight',
      'specks',
    ]);
  });
  it('the rules of the house: asked of every clean drawing, held where none breaks them', () => {
    const house = { ...noRules, edges: 'hard' as const };
    const kept = new Map<string, HouseFound>(
      ['1', '3', '5'].map((digit) => [digit.repeat(64), { faults: [] }] as const),
    );
    const waits = readyOf(input({ house })).lines.at(-1);
    expect(waits).toMatchObject({ name: 'house', state: 'waits', says: 'line without anti-aliasing' });
    expect(readyOf(input({ house, houseFound: kept })).ready).toBe(true);
    const fault = { kind: 'soft', box: [1, 2, 3, 4], countPx: 7, more: 2 } as const;
    const broken = new Map<string, HouseFound>([...kept, ['5'.repeat(64), { faults: [fault] }] as const]);
    expect(placesOf(input({ house, houseFound: broken }), 'house')).toEqual([
      {
        level: '',
        drawing: '5',
        bbox: [1, 2, 3, 4],
        says: 'soft edge in a line that is to be hard: 7 pixels, and 2 places more',
      },
    ]);
  });
  it('an empty shot is not ready', () => {
    expect(readyOf(input({ shot: { ...clean, levels: [] } })).ready).toBe(false);
  });
});

describe('what was proved', () => {
  const proof = proofOf(clean, readyOf(input()), {
    tolerances: defaultTolerances,
    house: noRules,
    at: new Date(0),
  });
  it('holds as long as every picture and exposure is the same', () => {
    expect(changedSince(clean, JSON.parse(JSON.stringify(proof)) as typeof proof)).toEqual([]);
  });
  it('another picture, a drawing gone, a new one and another exposure are told', () => {
    const [level] = clean.levels;
    const [one, three] = level!.drawings;
    const changed: Shot = {
      ...clean,
      levels: [
        {
          ...level!,
          drawings: [
            { ...one!, takes: [{ number: 2, image: image('7') }] },
            three!,
            { label: '6', takes: [] },
          ],
          exposures: [{ drawing: '1', frame: 1, length: 3 }],
        },
      ],
    };
    expect(changedSince(changed, proof)).toEqual([
      'Drawing 1 is another picture than the one that was proved.',
      'Drawing 5 is gone.',
      'The exposures have changed.',
      'Drawing 6 was not there when it was proved.',
    ]);
  });
});

describe('the rules of the house as entries', () => {
  const hard = { ...noRules, edges: 'hard' } as const;
  it('the latest holds, until it is withdrawn; without any the house asks nothing', () => {
    const [first, second] = [entry({ ...noRules, paper: 'white' }), entry(hard)];
    expect(houseRulesIn([])).toEqual(noRules);
    expect(houseRulesIn([second, first])).toEqual(hard);
    expect(houseRulesIn([first, second, entry({ kind: 'withdraw', to: second.id })])).toEqual(first.body);
  });
  it('are set by an assistant or a director', () => {
    expect([ana, ines, dov].map((person) => may(person, hard, () => undefined).may)).toEqual([
      false,
      true,
      true,
    ]);
  });
});
