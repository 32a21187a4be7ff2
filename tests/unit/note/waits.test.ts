/** What waits on a drawing, for whom. Expected by hand from what people said. */
import { describe, expect, test } from 'vitest';
import type { Entry } from '../../../src/note/entry.ts';
import type { FixFinding } from '../../../src/note/fix-list.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import { isToLookAt, isToMend, waitsOf } from '../../../src/note/waits.ts';
import { drawingKey } from '../../../src/shot/drawing-ref.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { ana, dov, entry, pinBody } from './make.ts';

const picture = (name: string) => ({
  sha256: name,
  width: 1920,
  height: 1080,
  mediaType: 'image/png',
  byteLength: 1,
});
const take = (number: number, name: string) => ({ number, image: picture(name) });
const shot: Shot = {
  id: 'shot-1',
  title: 'Lantern',
  fps: 24,
  sizePx: [1920, 1080],
  levels: [
    {
      name: '',
      exposures: [],
      drawings: [
        { label: '1', takes: [take(1, 'one')] },
        { label: '3', takes: [take(1, 'three'), take(2, 'three again')] },
        { label: '5', takes: [] },
      ],
    },
  ],
};
const on = (label: string) => drawingKey({ level: '', drawing: label });
const of = (entries: readonly Entry[], findings: readonly FixFinding[] = []) =>
  waitsOf(shot, mergeNotes(entries), findings);
const found = (drawing: string, key: string, check = 'leaks'): FixFinding => ({
  check,
  level: '',
  drawing,
  bbox: [1, 2, 3, 4],
  message: 'opens',
  key,
  lineDigest: 'd',
});
const pin = (id: string, drawings: readonly string[], image = 'three'): Entry =>
  entry(pinBody({ drawing: drawings[0] ?? '', drawings: [...drawings], image }), 10, dov, id);

describe('to mend', () => {
  test('a note counts on every drawing it holds for; a withdrawn one on none', () => {
    const waits = of([
      pin('n1', ['1', '5'], 'one'),
      pin('n2', ['5']),
      entry({ kind: 'withdraw', to: 'n2' }, 20),
    ]);
    expect([waits.get(on('1'))?.notes, waits.get(on('5'))?.notes]).toEqual([1, 1]);
  });

  test('a finding counts until it is a note or dismissed; a drawing without a clean-up is not one to mend', () => {
    const findings = [found('1', 'a'), found('1', 'b'), found('1', 'c'), found('5', 'd', 'missing')];
    const waits = of(
      [
        entry(
          { kind: 'dismiss', level: '', drawing: '1', finding: 'a', lineDigest: 'd', reason: 'meant' },
          5,
        ),
        entry(pinBody({ drawing: '1', drawings: ['1'], image: 'one', finding: 'b' }), 6),
      ],
      findings,
    );
    expect(waits.get(on('1'))).toMatchObject({ notes: 1, findings: 1 });
    expect(waits.has(on('5'))).toBe(false);
  });
});

describe('to look at', () => {
  test('a retake waits from the start, and no longer once its drawing is approved', () => {
    expect(of([]).get(on('3'))).toMatchObject({ retake: 2, notes: 0 });
    expect([...of([]).keys()]).toEqual([on('3')]);
    expect(
      of([entry({ kind: 'drawing state', level: '', drawing: '3', state: 'approved' }, 30)]).has(on('3')),
    ).toBe(false);
  });

  test('a note said to be fixed waits for a look; approved it waits for nobody, reopened for the artist', () => {
    const fixed = [pin('n1', ['3']), entry({ kind: 'state', to: 'n1', state: 'fixed' }, 20, ana)];
    const one = of(fixed).get(on('3'));
    expect(one).toMatchObject({ notes: 0, fixed: 1, retake: 2 });
    expect(one && [isToMend(one), isToLookAt(one)]).toEqual([false, true]);
    expect(of([...fixed, entry({ kind: 'state', to: 'n1', state: 'approved' }, 30)]).has(on('3'))).toBe(
      false,
    );
    const again = of([...fixed, entry({ kind: 'state', to: 'n1', state: 'reopened' }, 30)]).get(on('3'));
    expect(again).toMatchObject({ notes: 1, fixed: 0, retake: undefined });
  });

  test('a note made on the newest take says nothing of a look at it', () => {
    const waits = of([
      pin('n1', ['3'], 'three again'),
      entry({ kind: 'state', to: 'n1', state: 'approved' }, 30),
    ]);
    expect(waits.get(on('3'))?.retake).toBe(2);
  });
});
