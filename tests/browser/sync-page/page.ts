/** A tablet without screens: the real shelf (IndexedDB) and the real sync, at the hand of a test. */
import { latestStamp, tick } from '../../../src/note/clock.ts';
import type { Entry } from '../../../src/note/entry.ts';
import { isOfShot } from '../../../src/note/origin.ts';
import { openShelf } from '../../../src/shelf/open.ts';
import { openSync } from '../../../src/sync/sync.ts';
import { putShot } from '../../support/put-shot.ts';

/** `?shot=ID`: the one shot on its shelf. */
const shot = new URLSearchParams(location.search).get('shot') ?? 'shot-1';
const shelf = await openShelf();
await putShot(shelf, {
  id: shot,
  title: 'Lantern',
  fps: 24,
  sizePx: [64, 40],
  levels: [{ name: '', drawings: [{ label: '1', takes: [] }], exposures: [] }],
});
const dot = { width: 1, height: 1, channels: 1, data: new Uint8Array(1) } as const;
const startMs = performance.now();
const sync = openSync({
  shelf,
  base: new URL('./', document.baseURI),
  makeImage: (file, ref) => Promise.resolve({ ref, file, thumb: dot, flip: dot }),
});

const tablet = {
  /** Pins `count` notes with a stroke each; ids `NAME-0` and on. */
  async write(name: string, count: number): Promise<void> {
    let stamp = latestStamp((await shelf.entries(shot)).map((entry) => entry.stamp));
    const entries = Array.from({ length: count }, (_, n): Entry => {
      stamp = tick(stamp, Date.now());
      const points = Array.from({ length: 300 }, (_, k) => (k % 3 === 2 ? 0.5 : (k * 7) % 64));
      return {
        v: 1,
        id: `${name}-${n}`,
        shot,
        writer: { id: `person-${name}`, name, role: 'director' },
        stamp,
        body: {
          kind: 'pin',
          level: '',
          drawing: '1',
          drawings: ['1'],
          image: 'a'.repeat(64),
          sizePx: [64, 40],
          at: [n % 64, 9],
          strokes: [{ colour: 'red', widthPx: 3, points }],
          about: 'line',
          text: `Note ${n} of ${name}`,
        },
      };
    });
    await shelf.addEntries(entries, 'here');
  },
  ids: async (): Promise<string[]> =>
    (await shelf.entries(shot)).flatMap((entry) => (isOfShot(entry) ? [] : [entry.id])).sort(),
  unsent: async (): Promise<number> => (await shelf.marked('unsent')).length,
  sign: (): string => sync.sign.value.is,
  link: (): string => sync.link.value,
  nudge: (): Promise<void> => sync.nudge(),
  /** Milliseconds from the start of sync until all was here, and a second look found nothing more. */
  firstSync: sync.nudge().then(() => performance.now() - startMs),
};

declare global {
  var tablet: TestTablet;
}
export type TestTablet = typeof tablet;
globalThis.tablet = tablet;
