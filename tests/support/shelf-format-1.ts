/** A shelf as format 1 wrote it, record by record. Never edit: tablets hold such shelves. */
const entry = (id: string) => ({
  v: 1,
  id,
  shot: 'wind',
  writer: { id: 'p7', name: 'Ola', role: 'artist' },
  stamp: { wallMs: 1_795_000_000_000, counter: 0 },
  body: { kind: 'reply', to: 'pin-3', text: 'Done in take 2.' },
});
const ref = { sha256: 'a'.repeat(64), width: 3, height: 2, mediaType: 'image/png', byteLength: 4 };

export const FORMAT_1: readonly (readonly [key: readonly string[], value: unknown])[] = [
  [
    ['shot', 'wind'],
    {
      id: 'wind',
      title: 'Cloth in the wind',
      fps: 25,
      sizePx: [3, 2],
      levels: [{ name: '', drawings: [{ label: '12A', rough: ref, takes: [] }], exposures: [] }],
    },
  ],
  [['image', ref.sha256], { ref, session: 'long gone', bytes: 14 }],
  [['file', ref.sha256], Uint8Array.of(137, 80, 78, 71).buffer],
  // Paper 255, two paper pixels, one literal of 40, three paper pixels, no literal.
  [
    ['flip', ref.sha256],
    { width: 3, height: 2, channels: 1, how: 'runs', bytes: Uint8Array.of(255, 2, 1, 40, 3, 0).buffer },
  ],
  [
    ['thumb', ref.sha256],
    { width: 3, height: 2, channels: 1, how: 'runs', bytes: Uint8Array.of(255, 6, 0).buffer },
  ],
  [['entry', 'wind', 'e1'], entry('e1')],
  [['entry', 'wind', 'e2'], entry('e2')],
  [['unsent', 'e2'], 'wind'],
  [['desk', 'wind'], { state: { drawing: '12A' }, keptMs: 1_795_000_000_000 }],
  [['value', 'hand'], 'left'],
];
