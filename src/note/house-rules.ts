/** The rules of the house for line, kept with a shot: the body that says them. */
import * as v from 'valibot';

export const houseRules = v.object({
  /** The latest holds as a whole. */
  kind: v.literal('house rules'),
  /** With anti-aliasing, without, or as it comes. */
  edges: v.picklist(['either', 'soft', 'hard']),
  paper: v.picklist(['either', 'white', 'transparent']),
  /** Line colours that may be there, as `#rrggbb`; none: any. */
  colours: v.pipe(
    v.array(
      v.object({
        colour: v.pipe(v.string(), v.regex(/^#[0-9a-f]{6}$/, 'a colour such as #c81e1e')),
        /** What it is for: `shadow`. */
        what: v.pipe(v.string(), v.maxLength(100)),
      }),
    ),
    v.maxLength(32),
  ),
  /** How far a pixel may be from paper and line colours, levels of 255 on the channel that differs most. */
  withinLevels: v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(128)),
});
