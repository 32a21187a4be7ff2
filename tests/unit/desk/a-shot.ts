/** An invented shot for the desk's tests: labels out of step, a drawing exposed twice, one not at all. */
import type { Drawing, ImageRef, Level, Role, Shot } from '../../../src/shot/model.ts';

export const image = (name: string): ImageRef => ({
  sha256: name.padEnd(64, '0'),
  width: 1920,
  height: 1080,
  mediaType: 'image/png',
  byteLength: 1000,
});

const drawing = (label: string, role?: Role, clean = true): Drawing => ({
  label,
  ...(role && { role }),
  rough: image(`r${label}`),
  takes: clean ? [{ number: 1, image: image(`c${label}`) }] : [],
});

/** Frames: 1 1 1 2 2 3 4A 4A 5 5 1 1 9 (9 last, 13 frames); 7 is not on the sheet, 3 has no clean. */
export const figure: Level = {
  name: 'figure',
  drawings: [
    drawing('1', 'key'),
    drawing('2', 'inbetween'),
    drawing('3', 'inbetween', false),
    drawing('4A', 'breakdown'),
    drawing('5', 'key'),
    drawing('7'),
    drawing('9', 'key'),
  ],
  exposures: [
    { drawing: '1', frame: 1, length: 3 },
    { drawing: '2', frame: 4, length: 2 },
    { drawing: '3', frame: 6, length: 1 },
    { drawing: '4A', frame: 7, length: 2 },
    { drawing: '5', frame: 9, length: 2 },
    { drawing: '1', frame: 11, length: 2 },
    { drawing: '9', frame: 13, length: 1 },
  ],
};

export const hat: Level = {
  name: 'hat',
  drawings: [drawing('1'), drawing('6')],
  exposures: [
    { drawing: '1', frame: 1, length: 5 },
    { drawing: '6', frame: 6, length: 4 },
  ],
};

export const shot: Shot = {
  id: 'shot-a',
  title: 'The hat goes',
  fps: 24,
  sizePx: [1920, 1080],
  levels: [figure, hat],
};
