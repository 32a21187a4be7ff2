/** sRGB of the pencils notes are drawn with: each keeps 4.5 : 1 against white paper (WCAG 1.4.3) and is no black. */
import type { Stroke } from '../note/entry.ts';

export const noteColours: Readonly<Record<Stroke['colour'], string>> = {
  red: '#c4161c',
  blue: '#1650c4',
  green: '#0b6b2e',
  black: '#202020',
};
