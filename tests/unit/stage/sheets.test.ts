import { describe, expect, it } from 'vitest';
import type { Painter, Sheet } from '../../../src/stage/painter.ts';
import { createSheets, type SheetKey } from '../../../src/stage/sheets.ts';

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
    expect(sheets.reserve(key('d'), 30)).toBe(false);
    expect(held()).toBe('abc');
  });
  it('never hold more than the budget, decodes under way included', () => {
    const { sheets } = setUp('abcde');
    for (const name of ['e', 'd', 'c', 'b', 'a']) {
      if (sheets.reserve(key(name), 40)) sheets.addPicture(key(name), picture(40));
      expect(sheets.stats().decodedBytes).toBeLessThanOrEqual(100);
    }
    expect(sheets.stats().peakDecodedBytes).toBeLessThanOrEqual(100);
  });
});
