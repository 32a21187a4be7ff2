/** Drawings done anew as takes; pictures are written and read by `sharp`. */
import sharp, { type Sharp } from 'sharp';
import { expect, it } from 'vitest';
import { mendPlacesOf } from '../../../src/desk/reline/mend-places.ts';
import type { RedrawAnswer, RedrawAsk } from '../../../src/desk/reline/messages.ts';
import { redrawing } from '../../../src/desk/reline/redrawing.ts';
import { redrawAll, type ToRedraw, takeAnew } from '../../../src/desk/reline/take-anew.ts';
import { openSession, type Session } from '../../../src/desk/session.ts';
import { sha256Hex } from '../../../src/intake/make-image.ts';
import type { HouseRules } from '../../../src/note/entry.ts';
import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import type { Shelf } from '../../../src/shelf/types.ts';
import { drawingOf } from '../../../src/shot/drawing-ref.ts';
import type { ImageRef, Shot } from '../../../src/shot/model.ts';
import type { Bridge } from '../../../src/work/bridge.ts';
import { putShot } from '../../support/put-shot.ts';
import { handClock } from './hand-clock.ts';

const [width, height] = [240, 130];
/** A ring of 4 px, 80 px across, and a dot of 1.5 px far from it. */
const ring = (cx: number): Sharp =>
  sharp(
    Buffer.from(
      `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}"><circle cx="${cx}" cy="64.2" r="40" fill="none" stroke="#102a80" stroke-width="4"/><circle cx="${cx + 90}.5" cy="20.5" r="1.5" fill="#102a80"/></svg>`,
    ),
  );

interface Desk {
  readonly session: Session;
  readonly shelf: Shelf;
  readonly images: readonly ImageRef[];
}

async function desk(): Promise<Desk> {
  const shelf = memoryShelf();
  const dot = { width: 1, height: 1, channels: 1, data: new Uint8Array(1) } as const;
  const images: ImageRef[] = [];
  for (const cx of [70, 75, 80]) {
    const bytes = new Uint8Array(await ring(cx).png().toBuffer());
    const sha256 = await sha256Hex(bytes);
    const ref = { sha256, width, height, mediaType: 'image/png', byteLength: bytes.length };
    images.push(ref);
    await shelf.keepImage({ ref, file: bytes.buffer, thumb: dot, flip: dot });
  }
  const shot: Shot = {
    id: 'rings',
    title: 'Rings',
    fps: 24,
    sizePx: [width, height],
    levels: [
      {
        name: '',
        drawings: images.map((image, n) => ({ label: String(n + 1), takes: [{ number: 1, image }] })),
        exposures: [1, 2, 3].map((frame) => ({ drawing: String(frame), frame, length: 1 })),
      },
    ],
  };
  await putShot(shelf, shot);
  const session = await openSession(shelf, handClock(), shot.id);
  if (!session) throw new Error('no desk');
  return { session, shelf, images };
}

/** The worker's own code, in the page of the test. */
function bridge(
  shelf: Shelf,
  onAsk: (ask: RedrawAsk) => void = () => undefined,
): Bridge<RedrawAsk, RedrawAnswer> {
  const answer = redrawing((sha256) => shelf.file(sha256));
  const idle = (): void => undefined;
  let queue: Promise<unknown> = Promise.resolve();
  return {
    size: 2,
    ask(ask, options) {
      const next = queue.then(() => {
        options?.signal?.throwIfAborted();
        onAsk(ask);
        return answer(ask);
      });
      queue = next.catch(idle);
      return next;
    },
    pause: idle,
    resume: idle,
    rest: idle,
    wake: idle,
    close: idle,
  };
}

const weigh = (images: readonly ImageRef[], byPx: number): ToRedraw[] =>
  images.map((image, n) => ({ level: '', drawing: String(n + 1), image, redo: { kind: 'weight', byPx } }));
const takesOf = ({ session }: Desk, drawing: string): string[] =>
  drawingOf(session.shot.value, { level: '', drawing })?.takes.map(({ image }) => image.sha256) ?? [];
const signal = new AbortController().signal;
const onProgress = (): void => undefined;

it('a change of weight is a new take of each drawing, taken back by one undo, and nothing is overwritten', async () => {
  const on = await desk();
  const { session, shelf, images } = on;
  const shares: number[] = [];
  const told = await takeAnew(session, weigh(images, 1.5), (count) => `${count} thicker`, {
    worker: bridge(shelf),
    signal,
    onProgress: (share) => shares.push(share),
  });
  expect(told).toBe('');
  expect(shares).toEqual([1 / 3, 2 / 3, 1]);
  for (const [n, image] of images.entries()) {
    const [first, second] = takesOf(on, String(n + 1));
    expect(first).toBe(image.sha256);
    const file = new Uint8Array((await shelf.file(second!))!);
    expect(await sha256Hex(file)).toBe(second);
    expect((await sharp(file).metadata()).channels).toBe(4);
    // A ring's area is its length times its width: π·80·4 before, π·80·5.5 after; and the dot's beside it.
    const alpha = async (bytes: Uint8Array): Promise<number> =>
      (await sharp(bytes).extractChannel(3).raw().toBuffer()).reduce((sum, a) => sum + a, 0) / 255;
    const [was, is] = [await alpha(new Uint8Array((await shelf.file(image.sha256))!)), await alpha(file)];
    const dotPx2 = Math.PI * (2.25 ** 2 - 1.5 ** 2);
    expect(Math.abs((is - was - dotPx2) / (Math.PI * 80) - 1.5)).toBeLessThan(0.15);
  }
  session.undo();
  expect(['1', '2', '3'].map((label) => takesOf(on, label))).toEqual(images.map(({ sha256 }) => [sha256]));
  session.redo();
  expect(['1', '2', '3'].map((label) => takesOf(on, label).length)).toEqual([2, 2, 2]);
  await session.close();
});

it('stopped in the middle, the shot is as it was', async () => {
  const on = await desk();
  const stop = new AbortController();
  let asked = 0;
  const worker = bridge(on.shelf, () => {
    if (++asked === 2) stop.abort();
  });
  const making = takeAnew(on.session, weigh(on.images, 1), () => 'thicker', {
    worker,
    signal: stop.signal,
    onProgress,
  });
  await expect(making).rejects.toThrow(/abort/i);
  expect(['1', '2', '3'].map((label) => takesOf(on, label).length)).toEqual([1, 1, 1]);
  expect(on.session.canUndo.value).toBe(false);
  await on.session.close();
});

it('a drawing that got a newer take meanwhile keeps it, and that is said', async () => {
  const on = await desk();
  const { session, shelf, images } = on;
  let once = false;
  const worker = bridge(shelf, () => {
    if (once) return;
    once = true;
    session.ledger.write([{ kind: 'take', level: '', drawing: '2', image: images[2]! }]);
  });
  const told = await takeAnew(session, weigh(images, -1), () => 'thinner', { worker, signal, onProgress });
  expect(told).toBe('One drawing got a newer take meanwhile, and were left as they are.');
  expect(takesOf(on, '2').at(-1)).toBe(images[2]!.sha256);
  expect(takesOf(on, '1')).toHaveLength(2);
  await session.close();
});

it('16 bits, grey and indexed colour come back as deep as they were', async () => {
  const grey = await ring(70).flatten({ background: 'white' }).toColourspace('grey16').png().toBuffer();
  const indexed = await ring(70).flatten({ background: 'white' }).png({ palette: true }).toBuffer();
  const files = new Map([
    ['grey', grey],
    ['indexed', indexed],
  ]);
  const answer = redrawing(async (sha256) => new Uint8Array(files.get(sha256) ?? []).buffer);
  for (const [name, depth] of [
    ['grey', 'ushort'],
    ['indexed', 'uchar'],
  ] as const) {
    const made = await answer({ kind: 'redraw', sha256: name, redo: { kind: 'weight', byPx: 1 } });
    const file = 'redrawn' in made && made.redrawn && new Uint8Array(made.redrawn.file);
    if (!file) throw new Error(`${name} was not done`);
    const metadata = await sharp(file).metadata();
    expect([metadata.depth, metadata.channels], name).toEqual([depth, name === 'grey' ? 1 : 3]);
  }
});

it('a drawing that is not on this tablet is refused by its sentence', async () => {
  const answer = redrawing(async () => undefined);
  await expect(answer({ kind: 'weigh', sha256: 'x' })).rejects.toMatchObject({ code: 'missing' });
});

it('nothing to change is no take', async () => {
  const on = await desk();
  let taken = 0;
  await redrawAll(weigh(on.images, 0), { worker: bridge(on.shelf), signal, onProgress }, async () => {
    taken++;
  });
  expect(taken).toBe(0);
  await on.session.close();
});

it('specks are offered where the checks call them off, and never where somebody dismissed them', () => {
  const drawing = { label: '1', takes: [] };
  const level = { name: '', drawings: [drawing], exposures: [] };
  const speck = { kind: 'speck', xPx: 160.5, yPx: 20.5, areaPx2: 7 } as const;
  const measures = {
    sizePx: [width, height] as const,
    inkBox: [0, 0, 9, 9] as const,
    leaks: [
      {
        xPx: 50,
        yPx: 60,
        widthPx: 4,
        between: [
          [48, 60],
          [52, 60],
        ],
        likelyEnd: false,
        regions: [0, 1],
      },
    ],
    specks: [speck],
    ends: [],
  };
  const all = [{ drawing, measures, spacing: undefined, boil: undefined, failed: undefined }] as never;
  const finding = (check: string, bbox: readonly [number, number, number, number], standing: string) =>
    ({
      standing,
      finding: { check, level: '', drawing: '1', bbox, message: '', key: check, lineDigest: '' },
    }) as never;
  const rules: HouseRules = {
    kind: 'house rules',
    edges: 'either',
    paper: 'either',
    colours: [],
    withinLevels: 8,
  };
  const offered = (standing: string) =>
    mendPlacesOf(
      { level, drawing },
      all,
      [finding('specks', [150, 10, 20, 20], standing), finding('leaks', [40, 50, 20, 20], standing)],
      rules,
    );
  expect(offered('open')).toMatchObject({
    specks: [[160.5, 20.5]],
    gaps: [
      [
        [48, 60],
        [52, 60],
      ],
    ],
  });
  expect(offered('dismissed')).toMatchObject({ specks: [], gaps: [] });
});
