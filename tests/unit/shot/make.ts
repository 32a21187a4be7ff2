/** Shots for tests, spelled out. */
import type { Chart, Drawing, ImageRef, Level, Role, Shot } from '../../../src/shot/model.ts';

/** A stand-in for an image; equal for equal `seed`. */
export function imageRef(seed: number, [width, height] = [1920, 1080]): ImageRef {
  return {
    sha256: seed.toString(16).padStart(64, '0'),
    width,
    height,
    mediaType: 'image/png',
    byteLength: 100 + seed,
  };
}

export function drawing(label: string, role?: Role, chart?: Chart): Drawing {
  return { label, takes: [], ...(role && { role }), ...(chart && { chart }) };
}

export function level(drawings: readonly Drawing[], exposures: Level['exposures'] = [], name = ''): Level {
  return { name, drawings, exposures };
}

export function shotOf(levels: readonly Level[], more: Partial<Shot> = {}): Shot {
  return { id: 'id-1', title: 'Ferry', fps: 24, sizePx: [1920, 1080], levels, ...more };
}
