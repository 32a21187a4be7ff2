// Expected: work that grows with the shot, not with its square, counted as looks through the list of names.
import { expect, test, vi } from 'vitest';
import { checkShot } from '../../../src/shot/check-shot.ts';

const shot = (labels: readonly string[], length = 2) => ({
  id: 'shot-1',
  title: '',
  fps: 24,
  sizePx: [1, 2],
  levels: [
    {
      name: '',
      drawings: labels.map((label) => ({ label, takes: [] })),
      exposures: [{ drawing: labels[0], frame: 1, length }],
    },
  ],
});

test('no name is looked for by going through all of them', () => {
  const search = vi.spyOn(Array.prototype, 'indexOf');
  const labels = Array.from({ length: 500 }, (_, n) => String(n + 1));
  expect(checkShot(shot(labels)).ok).toBe(true);
  const looks = search.mock.contexts.filter((list) => (list as unknown[]).length >= 500).length;
  search.mockRestore();
  expect(looks).toBe(0);
});
test('every name that comes twice is told once', () => {
  const result = checkShot(shot(['7', '3', '7', '3', '3']));
  expect(result).toMatchObject({
    faults: [expect.stringContaining('labelled 7'), expect.stringContaining('labelled 3')],
  });
});
test('a drawing held for a million frames is a shot, one for longer is refused with its field', () => {
  expect(checkShot(shot(['1'], 1_000_000)).ok).toBe(true);
  for (const length of [1_000_001, 1e15])
    expect(checkShot(shot(['1'], length))).toMatchObject({
      ok: false,
      faults: [expect.stringMatching(/exposures\[0\]\.length: is .* but must be at most 1000000\./)],
    });
});
