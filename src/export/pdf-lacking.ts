/**
 * Letters that a machine has no font for. It draws a box for each: an empty one, or one with the letter's number in it.
 * Code points that no letter will ever have (Unicode, noncharacters) show what that box looks like.
 */
import { type FixRow, wordsOfRow } from '../note/fix-list.ts';

/** A letter as it is drawn, cut to its ink: how much of each pixel is covered, 0–255. */
export interface DrawnLetter {
  readonly width: number;
  readonly height: number;
  readonly coverage: Uint8Array;
}

type DrawLetter = (letter: string) => Promise<DrawnLetter | undefined> | DrawnLetter | undefined;

/** Numbers of four digits, and of six: the box is as wide as what stands in it. */
const boxes = ['\u{FDD0}', '\u{10FFFF}'] as const;
/** The box's own line is compared, not what stands in it. */
const framePx = 2;

/** Of a text, each letter once, in its order. Marks, spaces and controls are no letters of their own. */
export async function lettersLacking(text: string, draw: DrawLetter): Promise<string[]> {
  const letters = [...new Set(text)].filter(
    (letter) => letter > '\u{FF}' && /^[\p{L}\p{N}\p{S}]$/u.test(letter),
  );
  if (letters.length === 0) return [];
  const drawnBoxes = await Promise.all(boxes.map(async (box) => draw(box)));
  const lacking: string[] = [];
  for (const letter of letters) {
    const drawn = await draw(letter);
    if (drawn && drawnBoxes.some((box) => box && isBox(drawn, box))) lacking.push(letter);
  }
  return lacking;
}

/** One sentence for whoever hands a print out; empty where all of it can be read. `machine`: *This tablet*. */
export async function lackingWords(
  title: string,
  rows: readonly FixRow[],
  draw: DrawLetter,
  machine: string,
): Promise<string> {
  const said = rows.flatMap((row) => [
    wordsOfRow(row),
    row.who,
    row.level,
    row.drawing,
    ...row.replies.flatMap(({ who, text }) => [who, text]),
  ]);
  const lacking = await lettersLacking([title, ...said].join(' '), draw);
  if (lacking.length === 0) return '';
  const some = lacking.slice(0, 8).join(' ');
  const more = lacking.length > 8 ? ' and others' : '';
  return `${machine} has no font for ${some}${more}: the print shows boxes there. Print it where these can be read, or hand out the table (CSV), which keeps them.`;
}

function isBox(letter: DrawnLetter, box: DrawnLetter): boolean {
  const { width, height } = box;
  if (letter.width !== width || letter.height !== height) return false;
  for (let y = 0, i = 0; y < height; y++)
    for (let x = 0; x < width; x++, i++) {
      const inFrame = Math.min(x, y, width - 1 - x, height - 1 - y) < framePx;
      if (inFrame && letter.coverage[i] !== box.coverage[i]) return false;
    }
  return true;
}
