import type { Body, Entry, Person, Stamp } from '../../../src/note/entry.ts';
import type { Shot } from '../../../src/shot/model.ts';

export const ana: Person = { id: 'p-ana', name: 'Ana', role: 'artist' };
export const dov: Person = { id: 'p-dov', name: 'Dov', role: 'director' };
export const ines: Person = { id: 'p-ines', name: 'Inès', role: 'assistant' };

let made = 0;

/** An entry at a hand-picked time. Ids grow in the order of making unless one is given. */
export function entry(body: Body, at: number | Stamp = ++made, writer: Person = dov, id?: string): Entry {
  const stamp = typeof at === 'number' ? { wallMs: at, counter: 0 } : at;
  return { v: 1, id: id ?? `e${String(++made).padStart(6, '0')}`, shot: 'shot-1', writer, stamp, body };
}

/** An entry as a tablet sends it. */
export const written = (entry: Entry): { entry: Entry; json: string } => ({
  entry,
  json: JSON.stringify(entry),
});

export function pinBody(over: Partial<Extract<Body, { kind: 'pin' }>> = {}): Extract<Body, { kind: 'pin' }> {
  return {
    kind: 'pin',
    level: '',
    drawing: '3',
    drawings: ['3'],
    image: 'a'.repeat(64),
    sizePx: [1920, 1080],
    at: [400, 250],
    strokes: [{ colour: 'red', widthPx: 6, points: [400, 250, 0.4, 420, 260, 0.7] }],
    about: 'volume',
    text: 'The cheek swells here.',
    ...over,
  };
}

/** Drawings 1, 3, 5 on twos from frame 1, as guessed. */
export const shot: Shot = {
  id: 'shot-1',
  title: 'Lantern',
  fps: 24,
  sizePx: [1920, 1080],
  levels: [
    {
      name: '',
      drawings: ['1', '3', '5'].map((label) => ({ label, takes: [] })),
      exposures: [
        { drawing: '1', frame: 1, length: 2 },
        { drawing: '3', frame: 3, length: 2 },
        { drawing: '5', frame: 5, length: 2 },
      ],
      exposuresGuessed: true,
    },
  ],
};
