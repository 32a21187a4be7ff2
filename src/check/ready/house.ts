/** The house's rules for line, asked of a shot's drawings. */
import { type LineFault, lineFaults } from '../../line/house/line-faults.ts';
import type { LineRules, Rgb } from '../../line/house/rules.ts';
import type { Picture } from '../../line/picture.ts';
import type { HouseRules } from '../../note/entry.ts';

/** Of one drawing; `more`: how many places of that kind besides the largest that are told. */
export type HouseFound =
  | { readonly faults: readonly (LineFault & { readonly more: number })[] }
  | { readonly refused: string };

/** Of a drawing that is soft all over, the largest places say it. */
const MOST_PLACES = 3;

/** Goes up when a rule is judged otherwise, so that kept answers are made anew. */
const HOUSE_VERSION = 1;

export function asksNothing({ edges, paper, colours }: HouseRules): boolean {
  return edges === 'either' && paper === 'either' && colours.length === 0;
}

/** What the answer depends on; the picture's hash stands between colons, as the shelf looks for it. */
export function houseKey(sha256: string, { edges, paper, colours, withinLevels }: HouseRules): string {
  const rules = [edges, paper, ...colours.map(({ colour }) => colour), withinLevels].join(' ');
  return `house ${HOUSE_VERSION}:${sha256}:${rules}`;
}

export function houseFaults(picture: Picture, rules: HouseRules): HouseFound {
  const all = lineFaults(picture, lineRules(rules));
  const kinds = [...new Set(all.map(({ kind }) => kind))];
  return {
    faults: kinds.flatMap((wanted) => {
      const ofKind = all.filter(({ kind }) => kind === wanted);
      const told = ofKind.slice(0, MOST_PLACES);
      return told.map((fault) => ({ ...fault, more: ofKind.length - told.length }));
    }),
  };
}

export const lineRules = ({ edges, paper, colours, withinLevels }: HouseRules): LineRules => ({
  edges,
  paper,
  withinLevels,
  colours: colours.map(({ colour }) => rgbOf(colour)),
});

/** `#c81e1e` as its three levels. */
function rgbOf(hex: string): Rgb {
  const word = Number.parseInt(hex.slice(1), 16);
  return [word >> 16, (word >> 8) & 255, word & 255];
}

export const hexOf = (rgb: Rgb): string =>
  `#${rgb.map((level) => level.toString(16).padStart(2, '0')).join('')}`;

/** What is wrong there, as an artist reads it. */
export function faultWords({ kind, colour, countPx }: LineFault, { paper }: HouseRules): string {
  const pixels = countPx === 1 ? 'one pixel' : `${countPx} pixels`;
  switch (kind) {
    case 'paper':
      if (countPx > 0)
        return paper === 'white' ? `${pixels} of the paper are not opaque` : `${pixels} of white are left in`;
      if (!colour) return 'the paper is transparent, not white';
      return paper === 'white'
        ? `the paper is ${hexOf(colour)}, not white`
        : `the paper is ${hexOf(colour)}, not transparent`;
    case 'grain':
      return 'it has the grain of a scan: its edges and colours cannot be judged';
    case 'soft':
      return `soft edge in a line that is to be hard: ${pixels}`;
    case 'hard':
      return 'the line’s edge is hard; the house wants it anti-aliased';
    case 'stray':
      return `a colour that the house does not know: ${colour ? hexOf(colour) : ''}, ${pixels}`;
    case 'pale':
      return `the line is paler here than every colour of the house: ${pixels}`;
  }
}

/** The rules in a few words; empty for a house that asks nothing. */
export function rulesWords({ edges, paper, colours, withinLevels }: HouseRules): string {
  const parts = [
    edges === 'either' ? '' : edges === 'soft' ? 'anti-aliased line' : 'line without anti-aliasing',
    paper === 'either' ? '' : paper === 'white' ? 'white paper' : 'transparent paper',
    colours.length === 0
      ? ''
      : `line in ${colours.map(({ colour, what }) => (what ? `${colour} (${what})` : colour)).join(', ')}, off by ${withinLevels} of 255 at most`,
  ];
  return parts.filter((part) => part !== '').join('; ');
}
