// Expected places by hand: a picture lies centred on the paper, px for px (`Shot.sizePx`).
import { expect, it } from 'vitest';
import { fromPaper, placementOfNote, toPaper } from '../../../src/desk/notes/place.ts';
import type { ImageRef, Shot } from '../../../src/shot/model.ts';

const picture = (name: string, width: number, height: number): ImageRef => ({
  sha256: name.padEnd(64, '0'),
  width,
  height,
  mediaType: 'image/png',
  byteLength: 1,
});
const first = picture('first', 1000, 500);
const rough = picture('rough', 1000, 500);
const shotWith = (...takes: ImageRef[]): Shot => ({
  id: 's',
  title: 't',
  fps: 24,
  sizePx: [2400, 1400],
  levels: [
    {
      name: '',
      drawings: [{ label: '1', rough, takes: takes.map((image, n) => ({ number: n + 1, image })) }],
      exposures: [],
    },
  ],
});
const note = { level: '', image: first.sha256, sizePx: [1000, 500] as const };

it('lies on the take it was made on', () => {
  // (2400 − 1000) ∕ 2 = 700, (1400 − 500) ∕ 2 = 450.
  expect(toPaper(placementOfNote(shotWith(first), note, '1'), [250, 125])).toEqual([950, 575]);
});

it('stays at its place in the drawing when the next take has another size', () => {
  // Twice the size: at 500, 250 of 2000 × 1000, which lies 200 and 200 px in.
  const placement = placementOfNote(shotWith(first, picture('second', 2000, 1000)), note, '1');
  expect(toPaper(placement, [250, 125])).toEqual([700, 450]);
  expect(fromPaper(placement, [700, 450])).toEqual([250, 125]);
});

it('made on the rough, it stays with the rough', () => {
  const placement = placementOfNote(
    shotWith(picture('second', 2000, 1000)),
    { ...note, image: rough.sha256 },
    '1',
  );
  expect(toPaper(placement, [250, 125])).toEqual([950, 575]);
});
