import { expect, test } from 'vitest';
import { alike } from '../../../src/desk/checks/alike.ts';

const found = (drawing: string, check: string, n: number, level = '') => ({
  finding: { level, drawing, check, n },
});

test('findings of one check on one drawing stand with the first of them; nothing else changes its place', () => {
  const listed = [
    found('3', 'specks', 1),
    found('3', 'leaks', 2),
    found('3', 'specks', 3),
    found('5', 'specks', 4),
    found('3', 'specks', 5, 'hat'),
    found('3', 'specks', 6),
  ];
  expect(alike(listed).map((group) => group.map(({ finding }) => finding.n))).toEqual([
    [1, 3, 6],
    [2],
    [4],
    [5],
  ]);
  expect(alike([])).toEqual([]);
});
