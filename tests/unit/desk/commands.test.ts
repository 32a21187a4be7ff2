import { expect, it } from 'vitest';
import { commands } from '../../../src/desk/commands.ts';
import { keyWords } from '../../../src/desk/keys.ts';

it('no two commands share an id, and no two a key', () => {
  const ids = commands.map(({ id }) => id);
  const keys = commands.flatMap(({ key }) => key ?? []);
  expect(new Set(ids).size).toBe(ids.length);
  expect(new Set(keys).size).toBe(keys.length);
});

it('everything a gesture does, a key does too', () => {
  expect(commands.filter(({ gesture, key }) => gesture && !key).map(({ id }) => id)).toEqual([]);
});

it('keys of one letter follow the rule the help tells: the first letter of a word of the label or id', () => {
  const odd = commands.filter(({ key, label }) => {
    const letter = key === undefined ? undefined : /^(?:Shift\+)?([A-Za-z])$/.exec(key)?.[1];
    return (
      letter !== undefined &&
      !label
        .toLowerCase()
        .split(/[^a-z]+/)
        .some((word) => word.startsWith(letter.toLowerCase()))
    );
  });
  expect(odd.map(({ label, key }) => `${label}: ${key}`)).toEqual([]);
});

it('keys are written for people', () => {
  expect(['ArrowLeft', 'Shift+Digit2', ' ', 'm', 'Ctrl+Shift+z', '+'].map(keyWords)).toEqual([
    '←',
    'Shift 2',
    'Space',
    'M',
    'Ctrl Shift Z',
    '+',
  ]);
});
