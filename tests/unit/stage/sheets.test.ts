import { describe, expect, it } from 'vitest';
import { createDecoding, type Want } from '../../../src/stage/decoding.ts';
import type { Painter, Sheet } from '../../../src/stage/painter.ts';
import { createSheets, type SheetKey } from '../../../src/stage/sheets.ts';
import { imageRef } from '../shot/make.ts';

/** A painter that only counts: 1 byte a pixel, and which sheets are alive. */
function counting() {
  const alive = new Set<Sheet>();
  let reused = 0;
  const painter = {
    bytesOf: (pixels: number) => pixels,
    upload({ data }: { data: Uint8Array }, reuse?: Sheet) {
      if (reuse) {
        reused++;
        alive.delete(reuse);
      }
      const sheet = { bytes: data.length };
      alive.add(sheet);
      return sheet;
    },
    free: (sheet: Sheet) => void alive.delete(sheet),
  } as unknown as Painter;
  return { painter, alive, reused: () => reused };
}
const picture = (bytes: number) =>
  ({ width: bytes, height: 1, channels: 1, data: new Uint8Array(bytes) }) as const;
const key = (name: string): SheetKey => `flip ${name}`;

describe('sheets', () => {
  function setUp(order: string) {
    const ranks = new Map(order.split('').map((name, index) => [key(name), index] as const));
    const { painter, alive, reused } = counting();
    const sheets = createSheets(
      () => painter,
      100,
      (each) => ranks.get(each) ?? Number.POSITIVE_INFINITY,
    );
    const held = () => ['a', 'b', 'c', 'd', 'e', 'x', 'y'].filter((name) => sheets.peek(key(name))).join('');
    return { sheets, alive, reused, held };
  }
  it('drop the least dear first, and reuse its memory', () => {
    const { sheets, held, reused, alive } = setUp('abcd');
    for (const name of ['d', 'a', 'b']) sheets.addPicture(key(name), picture(30));
    sheets.addPicture(key('c'), picture(30));
    expect(held()).toBe('abc');
    expect(reused()).toBe(1);
    expect(alive.size).toBe(3);
  });
  it('drop what nobody asked for, longest unused first', () => {
    const { sheets, held } = setUp('a');
    for (const name of ['x', 'y', 'e']) sheets.addPicture(key(name), picture(30));
    sheets.get(key('x'));
    sheets.addPicture(key('a'), picture(30));
    expect(held()).toBe('aex');
  });
  it('set nothing aside for a picture when all that is held is dearer', () => {
    const { sheets, held } = setUp('abcd');
    for (const name of ['a', 'b', 'c']) sheets.addPicture(key(name), picture(30));
    expect(sheets.reserve(key('d'), 30)).toBeUndefined();
    expect(held()).toBe('abc');
  });
  it('never hold more than the budget, decodes under way included', () => {
    const { sheets } = setUp('abcde');
    for (const name of ['e', 'd', 'c', 'b', 'a']) {
      const room = sheets.reserve(key(name), 40);
      if (room) sheets.addPicture(key(name), picture(40), room);
      expect(sheets.stats().decodedBytes).toBeLessThanOrEqual(100);
    }
    expect(sheets.stats().peakDecodedBytes).toBeLessThanOrEqual(100);
  });
});

describe('a decode that is given up and asked for again before it has ended', () => {
  const image = imageRef(1);
  const plan: readonly Want[] = [{ image, quality: 'flip' }];
  const settle = () => new Promise((done) => setTimeout(done));

  function setUp(budgetBytes: number) {
    const { painter, alive } = counting();
    const sheets = createSheets(
      () => painter,
      budgetBytes,
      (each) => decoding.rank(each),
    );
    const ends: (() => void)[] = [];
    const decoding = createDecoding({
      has: (_, each) => sheets.peek(each) !== undefined,
      reserve: (_, each) => sheets.reserve(each, 40),
      release: sheets.release,
      changed: () => undefined,
      async load(_, each, signal, room) {
        await new Promise<void>((end) => ends.push(end));
        if (!signal.aborted) sheets.addPicture(each, picture(40), room);
        return !signal.aborted;
      },
    });
    // Full of what nobody asks for: the first decode takes over the memory of one of them.
    for (let left = budgetBytes; left > 0; left -= 50) sheets.addPicture(key(`old ${left}`), picture(50));
    decoding.plan(plan, 1);
    decoding.plan([], 0);
    decoding.plan(plan, 1);
    return { sheets, alive, ends };
  }

  it('leaves the room of the second alone, and no memory behind', async () => {
    const { sheets, alive, ends } = setUp(150);
    expect(ends).toHaveLength(2);
    ends[0]?.();
    await settle();
    // The second is under way: what was set aside for it still counts.
    expect(sheets.stats().decodedBytes).toBeGreaterThanOrEqual(40);
    ends[1]?.();
    await settle();
    expect(sheets.peek(key(image.sha256))).toBeDefined();
    const aliveBytes = [...alive].reduce((sum, sheet) => sum + sheet.bytes, 0);
    expect(aliveBytes).toBe(sheets.stats().decodedBytes);
  });

  it('is begun when the first, whose room it needs, has ended', async () => {
    const { sheets, ends } = setUp(100);
    expect(ends).toHaveLength(1);
    ends[0]?.();
    await settle();
    ends[1]?.();
    await settle();
    expect(sheets.peek(key(image.sha256))).toBeDefined();
  });
});
