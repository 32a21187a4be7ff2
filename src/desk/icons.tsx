/** Our own line drawings on one 24 × 24 grid; a file of shapes, hence long. Drawn with one round pen. */
import type { JSX } from 'preact';

const shapes = {
  // Shots standing on a board.
  shelf: 'M3 20h18M5 20V6h3v14M10 20V4h4v16M16 20l2-13 3 .5-2 12.5',
  // One fair line.
  clean: 'M4 17C7 6 12 5 14 10s-3 8 6 4',
  // The searching strokes under it.
  rough: 'M3 13C5 6 10 3 13 7M3 19C7 9 12 8 13 12s-1 6 7 1M8 20c2-5 6-8 8-4s2 3 5 1',
  // A faint line below a firm one.
  underlay:
    'M4 13C7 3 12 3 14 7s-3 7 6 3M4 20c.6-2 1.2-3.5 1.9-4.700M8 12.700c.9-.6 1.8-.8 2.7-.7M14.5 15c.3 2-.5 3.5 1 4M18.3 18.300l1.7-.8',
  beside: 'M3 5h8v14H3zM13 5h8v14h-8zM5 15c1-5 3-5 4-2M15 15c1-5 3-5 4-2',
  wipe: 'M3 5h18v14H3zM12 3v18M15 16l4-6M15 12l2.5-3.5',
  difference: 'M4 16C6 7 11 6 14 9M4 19C7 11 12 10 20 16M14 9c2 2 3 4 6 3',
  // A corner lifted to look beneath.
  lift: 'M4 4h16v9l-7 7H4zM20 13h-7v7',
  neighbours: 'M5 18C3 12 5 8 8 6M12 18c-2-6 0-10 3-12M19 18c-2-6 0-10 3-12',
  // An arc with its dots.
  path: 'M3 18C5 9 11 5 20 6M3 18v.01M5.500 12.500v.01M10 8.500v.01M15 6.500v.01M20 6v.01',
  /** A line that swells. */
  swell: 'M3 17C9 17 13 9 21 4M3 17C10 18.500 16 14 21 9',
  paper: 'M6 6h12v12H6zM12 2.500v2M12 19.500v2M2.5 12h2M19.5 12h2',
  mirror: 'M12 3v18M9 7 4 17h5zM15 7l5 10h-5z',
  fit: 'M3 8V4h4M21 8V4h-4M3 16v4h4M21 16v4h-4M8 9h8v6H8z',
  actual: 'M6 7v10M4 9l2-2M17 7v10M15 9l2-2M11.5 10v.01M11.5 15v.01',
  nearer: 'M12 5v14M5 12h14',
  farther: 'M5 12h14',
  turnLeft: 'M5 10a8 8 0 1 1-.5 5M5 4v6h6',
  turnRight: 'M19 10a8 8 0 1 0 .5 5M19 4v6h-6',
  upright: 'M7 9h10v11H7zM12 6V3M10 5l2-2 2 2',
  undo: 'M9 6 4 11l5 5M4 11h10a5.5 5.5 0 0 1 0 9h-3',
  redo: 'M15 6l5 5-5 5M20 11H10a5.5 5.5 0 0 0 0 9h3',
  // A stroke round something.
  scrawl: 'M5 16C3 9 9 4 15 5s7 8 2 12-12 2-12-3M14 20l5-1.500-1-5',
  // One leaf lifted from another.
  takes: 'M4 8h11v12H4zM8 8V4l12 2v12h-5',
  // Boxes that fill up.
  progress: 'M4 20V11h4v9zM10 20V7h4v13zM16 20V4h4v16zM4 15.500h4M10 13.500h4M16 6l4-1',
  pencil: 'M4 20l1-5L16 4l4 4L9 19zM14 6l4 4',
  // A pair of dividers.
  dividers: 'M12 3v4M12 7 6.500 21M12 7l5.500 14M9 14.500c2 1.200 4 1.200 6 0',
  // Leaves on one another, set going.
  leaves: 'M3 8h13v12H3zM7 8V4h14v12h-5M7.500 11l5 3-5 3z',
  // A brush that is set down.
  brush: 'M20 4 11 13M9 12l3 3c-1 4-4 5-9 5 2-2 2-7 6-8z',
  help: 'M9 9a3 3 0 1 1 4.5 2.600c-1 .6-1.5 1.2-1.5 2.400M12 18v.01M12 2.500a9.5 9.5 0 1 1 0 19 9.5 9.5 0 0 1 0-19z',
  back: 'M14 5l-7 7 7 7',
  on: 'M10 5l7 7-7 7',
  run: 'M8 5l10 7-10 7z',
  halt: 'M7 7h10v10H7z',
  // To and fro between the fingers.
  roll: 'M4 9h13M14 5l4 4-4 4M20 16H7M10 12l-4 4 4 4',
  fingers: 'M9 19V5h7v14zM9 7 4 8.5 7 20l2-.6M16 7l4.5 1.5L17.5 20 16 19.5',
  // Traditional notation: a key's circle, a breakdown's underline.
  circled: 'M8 5.5C14 2.5 20 7 19.5 13S13 20.5 8.5 19 3 12 6 7.5s6-4 8-3',
  underlined: 'M4 18c5 .8 11 .3 16-.4',
  loop: 'M7 7h8a5 5 0 0 1 0 10H9a5 5 0 0 1-4-2M10 4 7 7l3 3',
  // Boxes to tick, a line beside each.
  list: 'M4 4h4v4H4zM4 10.500h4v4H4zM4 17h4v4H4zM4.500 5.500 6 7l3-4M11 6h9M11 12.500h9M11 19h6',
  // Two strokes across a strip of frames.
  part: 'M3 12h18M7 6v12M17 6v12M10 9l-3 3 3 3M14 9l3 3-3 3',
  // A sheet with nothing round it.
  alone: 'M4 6h16v12H4zM2 3l1.500 1.500M22 3l-1.500 1.500M2 21l1.500-1.500M22 21l-1.500-1.500',
  close: 'M6 6l12 12M18 6 6 18',
  levels: 'M12 4l9 5-9 5-9-5zM4 14l8 4.5 8-4.5',
  files: 'M8 3h8l4 4v11H8zM16 3v4h4M4 7v14h12',
  folder: 'M3 19V6h6l2 3h10v10z',
  zip: 'M5 3h14v18H5zM12 3v2M12 7v2M12 11v2M10.5 16h3v2.500h-3z',
  in: 'M12 3v12M8 11l4 4 4-4M5 12v8h14v-8',
  out: 'M12 15V3M8 7l4-4 4 4M5 12v8h14v-8',
  bin: 'M4 7h16M9 7V4h6v3M6 7l1 13h10l1-13M10 11v5M14 11v5',
  day: 'M12 8a4 4 0 1 1 0 8 4 4 0 0 1 0-8zM12 2v2M12 20v2M2 12h2M20 12h2M5 5l1.5 1.500M17.5 17.500L19 19M19 5l-1.5 1.500M6.5 17.500L5 19',
  tick: 'M5 13l4.5 5L19 6',
  wait: 'M12 3a9 9 0 1 1 0 18 9 9 0 0 1 0-18zM12 7v5l3.5 2',
  warn: 'M12 4l9 16H3zM12 10v5M12 17.500v.01',
  table: 'M4 9l16-3v9L4 18zM7 18v3M18 15v6',
} as const;

export type IconName = keyof typeof shapes;

/** Never alone: the button that holds it has a name in words. */
export function Icon({ name, size = 24 }: { name: IconName; size?: number }): JSX.Element {
  return (
    <svg class="icon" width={size} height={size} viewBox="0 0 24 24" aria-hidden="true">
      <path d={shapes[name]} />
    </svg>
  );
}
