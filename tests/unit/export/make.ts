import type { FixRow } from '../../../src/note/fix-list.ts';

/** A row with plain values, and what a test says of it. */
export function fixRow(more: Partial<FixRow> = {}): FixRow {
  return {
    id: 'n1',
    number: 1,
    source: 'note',
    level: 'figure',
    drawing: '12A',
    drawings: ['12A'],
    notation: { mark: 'circle', triangle: false, runsOn: false, role: 'key', beside: [], words: 'key' },
    take: 2,
    onRough: false,
    exposedAt: [{ frame: 7, feet: '0+07', timecode: '00:00:00:06', length: 2 }],
    place: { east: 4, north: 2.5, chart: '4E 2.5N', words: 'right' },
    box: [10.4, 20.6, 30.2, 7],
    sizePx: [1920, 1080],
    image: 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
    strokes: [],
    about: 'line',
    text: 'round it',
    replies: [],
    who: 'Ines',
    whenMs: 1000,
    state: 'open',
    knockOn: [],
    maySettle: [],
    ...more,
  };
}
