import { expect, test } from 'vitest';
import { nodeLetter } from '../../../src/export/node/node-painter.ts';
import { type DrawnLetter, lackingWords, lettersLacking } from '../../../src/export/pdf-lacking.ts';
import { fixRow } from './make.ts';

const side = 12;
/** A frame two px thick with a number in it, as boxes for unknown letters are; 0 is an empty one. */
function box(number: number): DrawnLetter {
  const coverage = Uint8Array.from({ length: side * side }, (_, n) => {
    const [x, y] = [n % side, Math.floor(n / side)];
    const inFrame = Math.min(x, y, side - 1 - x, side - 1 - y) < 2;
    return inFrame || (x === 5 && (number >> (y - 2)) & 1) ? 255 : 0;
  });
  return { width: side, height: side, coverage };
}
const letter: DrawnLetter = { width: side, height: side, coverage: new Uint8Array(side * side).fill(90) };

test('letters drawn as boxes are lacking, each told once; others, marks and spaces are not', async () => {
  const known = 'Ωж口';
  const draw = (one: string): Promise<DrawnLetter> =>
    Promise.resolve(known.includes(one) ? letter : box(one.codePointAt(0) ?? 0));
  // U+0939 and U+093F: a Devanagari letter, and a sign that joins it.
  expect(await lettersLacking('Ω ж 口 ह\u093F ह café \u{2003}', draw)).toEqual(['ह']);
  const says = await lackingWords('Title', [fixRow({ text: 'ह' })], draw, 'This tablet');
  expect(says).toMatch(/^This tablet has no font for ह: .*\.$/);
  expect(await lackingWords('Title', [fixRow({ text: 'Ω' })], draw, 'This tablet')).toBe('');
});

test('at a prompt: a letter of no script is a box, letters that every machine has are none', async () => {
  // U+0378 is not assigned (Unicode 16); Greek and Cyrillic are in every system's fonts.
  const drawn = await nodeLetter('\u0378');
  const known = await nodeLetter('\u{FDD0}');
  expect([drawn?.width, drawn?.height]).toEqual([known?.width, known?.height]);
  expect(await lettersLacking('Ω ж', nodeLetter)).toEqual([]);
});
