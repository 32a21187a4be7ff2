/** What a house asks of the line that it paints. */

/** sRGB, 0–255 each. */
export type Rgb = readonly [red: number, green: number, blue: number];

export interface LineRules {
  /** `hard`: every pixel is paper or line; `soft`: the line's edge is anti-aliased. */
  readonly edges: 'either' | 'soft' | 'hard';
  readonly paper: 'either' | 'white' | 'transparent';
  /** Line colours that may be there; empty: any. */
  readonly colours: readonly Rgb[];
  /** How far a pixel may be from paper or colour, levels of 255 on the channel that differs most. */
  readonly withinLevels: number;
}

export type LineFaultKind =
  /** Another paper than asked, or paper where there should be none. */
  | 'paper'
  /** A scan's grain: edges and colours cannot be judged. */
  | 'grain'
  /** Pixels between paper and line, where the line is to be hard. */
  | 'soft'
  /** Hardly a soft edge, where the line is to have them. */
  | 'hard'
  /** A colour that the house does not know. */
  | 'stray'
  /** A line that is paler than every colour of the house, all along. */
  | 'pale';
