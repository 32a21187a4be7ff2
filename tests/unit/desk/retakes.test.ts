import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { redrawnOnDisk } from '../../../src/cli/redrawn.ts';
import { comparing, isMade } from '../../../src/desk/retakes/comparing.ts';
import { beforeRetakes, freshFindings, stillFails } from '../../../src/desk/retakes/fresh.ts';
import type { TakesAsk } from '../../../src/desk/retakes/messages.ts';
import { retakesOf } from '../../../src/desk/retakes/retakes-desk.ts';
import type { TakesWorker } from '../../../src/desk/retakes/takes-worker.ts';
import { openSession } from '../../../src/desk/session.ts';
import { inkOf } from '../../../src/line/ink.ts';
import { layOn } from '../../../src/line/lay-on.ts';
import type { Picture } from '../../../src/line/picture.ts';
import { takeChange } from '../../../src/line/redrawn.ts';
import type { Body, Entry } from '../../../src/note/entry.ts';
import { type FixFinding, fixList } from '../../../src/note/fix-list.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import { itemsOf, nextWaiting, pairOf, waiting } from '../../../src/note/retakes/items.ts';
import { verdictAt } from '../../../src/note/retakes/verdict.ts';
import { type KeptMeasures, keptMeasures } from '../../../src/shelf/kept-measures.ts';
import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import { MemoryDisk, memoryStore } from '../../../src/shelf/memory-store.ts';
import type { Shelf } from '../../../src/shelf/types.ts';
import type { Drawing, ImageRef, Shot } from '../../../src/shot/model.ts';
import { putShot } from '../../support/put-shot.ts';
import { ana, dov, entry, pinBody } from '../note/make.ts';
import { handClock } from './hand-clock.ts';

const [wide, high] = [320, 200];
/** A sheet with upright bars 4 px wide at these places. */
function bars(...places: readonly number[]): Picture {
  const data = new Uint8Array(wide * high).fill(255);
  for (const left of places)
    for (let y = 40; y < 160; y++) data.fill(0, y * wide + left, y * wide + left + 4);
  return { width: wide, height: high, channels: 1, data };
}
const ref = (sha256: string): ImageRef => ({
  sha256,
  width: wide,
  height: high,
  mediaType: 'image/png',
  byteLength: 1,
});
const pictures: Readonly<Record<string, Picture>> = {
  first: bars(60, 250),
  // The right bar is drawn elsewhere, the left one stays.
  second: bars(60, 240),
  // All of it lies 3 px to the right.
  shifted: bars(63, 253),
  other: bars(100),
  rough: bars(61, 251),
};
const drawing = (label: string, ...takes: readonly string[]): Drawing => ({
  label,
  role: 'key',
  rough: ref('rough'),
  takes: takes.map((name, n) => ({ number: n + 1, image: ref(name) })),
});
const shot: Shot = {
  id: 'shot-1',
  title: 'Bars',
  fps: 24,
  sizePx: [wide, high],
  levels: [
    {
      name: '',
      drawings: [drawing('1', 'first', 'second'), drawing('2', 'other'), drawing('3', 'first', 'shifted')],
      exposures: ['1', '2', '3'].map((label, n) => ({ drawing: label, frame: 1 + n, length: 1 })),
    },
  ],
};
/** A ring round a place of a drawing, on one of its pictures. */
const ring = (label: string, image: string, x: number): Body =>
  pinBody({
    drawing: label,
    drawings: [label],
    image,
    sizePx: [wide, high],
    at: [x, 100],
    strokes: [{ colour: 'red', widthPx: 2, points: [x - 6, 90, 0.5, x + 10, 110, 0.5] }],
    text: `at ${x}`,
  });
const state = (to: Entry, said: 'fixed' | 'approved' | 'reopened'): Entry =>
  entry({ kind: 'state', to: to.id, state: said }, undefined, ana);

async function shelfOf(entries: readonly Entry[] = []): Promise<Shelf> {
  const shelf = memoryShelf();
  for (const [name, picture] of Object.entries(pictures))
    await shelf.keepImage({ ref: ref(name), file: new ArrayBuffer(1), thumb: picture, flip: picture });
  await putShot(shelf, shot);
  await shelf.addEntries(entries, 'here');
  return shelf;
}
/** The worker's own code, in the page of the test. */
function worker(): TakesWorker & { compared: number } {
  return {
    compared: 0,
    async change(before, after) {
      this.compared++;
      return takeChange(inkOf(before), inkOf(after));
    },
    lay: async (older, move, [width, height]) => layOn(older, move, { width, height }),
  };
}

test('the prompt says of takes on disk what was redrawn, and leads none astray that were made on a rough', async () => {
  const right = entry(ring('1', 'first', 252));
  const left = entry(ring('1', 'first', 62));
  const onRough = entry(ring('2', 'rough', 100));
  const foreign = entry(ring('2', 'lost', 100));
  const notes = mergeNotes([right, left, onRough, foreign]);
  const rows = fixList(shot, notes);
  const disk = {
    picture: ({ sha256 }: ImageRef) => Promise.resolve(pictures[sha256] ?? bars()),
    pathOf: ({ sha256 }: ImageRef) => sha256,
  };
  const words = await redrawnOnDisk(disk, shot, notes, rows);
  // Of drawing 1 the right bar was drawn elsewhere and the left one stayed (`pictures`).
  expect(new Map(rows.map((row) => [row.id, words.all(row)]))).toEqual(
    new Map([
      [right.id, 'redrawn here'],
      [left.id, 'redrawn elsewhere'],
      [onRough.id, 'made on the rough'],
      [foreign.id, 'its take is not here'],
    ]),
  );
  expect(new Set(rows.filter((row) => words.telling(row) !== '').map(({ id }) => id))).toEqual(
    new Set([right.id, left.id]),
  );
});

describe('items', () => {
  const here = entry(ring('1', 'first', 252));
  const onRough = entry(ring('2', 'rough', 100));
  const foreign = entry(ring('2', 'lost', 100));
  const newest = entry(ring('3', 'shifted', 250));
  const gone = entry(ring('3', 'first', 60));
  const entries = [here, onRough, foreign, newest, gone, entry({ kind: 'withdraw', to: gone.id })];
  const notes = mergeNotes(entries);
  const items = itemsOf(shot, notes, fixList(shot, notes));

  test('say what each note was made on, and the two takes it means', () => {
    const told = new Map(
      items.map(({ note, madeOn, takes }) => [
        note.id,
        `${madeOn}${takes ? `: ${takes.older.number} to ${takes.newer.number}` : ''}`,
      ]),
    );
    expect(told).toEqual(
      new Map([
        [here.id, 'a take: 1 to 2'],
        [onRough.id, 'the rough'],
        [foreign.id, 'a picture that is not here'],
        [newest.id, 'a take'],
      ]),
    );
  });

  test('the fixed ones are gone through in order, from the start again at the end', () => {
    const fixed = mergeNotes([...entries, state(here, 'fixed'), state(newest, 'fixed')]);
    const all = itemsOf(shot, fixed, fixList(shot, fixed));
    expect(waiting(all).map(({ drawing: label }) => label)).toEqual(['1', '3']);
    expect(nextWaiting(all, undefined)?.note.id).toBe(here.id);
    expect(nextWaiting(all, here.id)?.note.id).toBe(newest.id);
    expect(nextWaiting(all, newest.id)?.note.id).toBe(here.id);
    expect(nextWaiting(items, undefined)).toBeUndefined();
  });

  test('the older take is the one chosen by hand, else the noted one, else the one before', () => {
    const three = drawing('9', 'a', 'b', 'c');
    const [one, , last] = three.takes;
    const noted = one && last && { older: one, newer: last };
    expect(pairOf(three, undefined, undefined)?.older.number).toBe(2);
    expect(pairOf(three, undefined, noted)?.older.number).toBe(1);
    expect(pairOf(three, 2, noted)?.older.number).toBe(2);
    expect(pairOf(three, 3, noted)?.older.number).toBe(1);
    expect(pairOf(drawing('9', 'a'), undefined, undefined)).toBeUndefined();
    expect(pairOf(undefined, undefined, undefined)).toBeUndefined();
  });
});

describe('comparing', () => {
  let measures: KeptMeasures;
  beforeEach(() => {
    measures = keptMeasures(memoryStore(new MemoryDisk()));
  });
  test('finds a change once, and keeps it for the next visit', async () => {
    const shelf = await shelfOf();
    const first = worker();
    const compare = comparing(shelf, measures, first);
    const [found, again] = await Promise.all([
      compare.change(ref('first'), ref('second')),
      compare.change(ref('first'), ref('second')),
    ]);
    expect(again).toBe(found);
    const next = worker();
    expect(await comparing(shelf, measures, next).change(ref('first'), ref('second'))).toEqual(found);
    expect([first.compared, next.compared]).toEqual([1, 0]);
    if (!found) throw new Error('nothing was found');
    // A note of twice the size covers the same place.
    expect(verdictAt(found, [240, 80, 20, 40], [wide, high])).toBe('redrawn here');
    expect(verdictAt(found, [480, 160, 40, 80], [2 * wide, 2 * high])).toBe('redrawn here');
    expect(verdictAt(found, [50, 80, 20, 40], [wide, high])).toBe('redrawn elsewhere');
  });

  test('a picture that is not on the tablet is not told, and asked for again later', async () => {
    const shelf = await shelfOf();
    const compare = comparing(shelf, measures, worker());
    expect(await compare.change(ref('first'), ref('late'))).toBeUndefined();
    await shelf.keepImage({
      ref: ref('late'),
      file: new ArrayBuffer(1),
      thumb: pictures['second'] as Picture,
      flip: pictures['second'] as Picture,
    });
    expect(await compare.change(ref('first'), ref('late'))).toBeDefined();
  });

  test('an older take that lies 3 px off is laid right, one that lies right is itself', async () => {
    const compare = comparing(await shelfOf(), measures, worker());
    const made = new Map<string, Picture>();
    const laid = await compare.lay(ref('first'), ref('shifted'), made);
    expect(isMade(laid.sha256)).toBe(true);
    const inkAt = ({ data }: Picture, x: number): number => 255 - (data[100 * wide + x] ?? 255);
    const picture = made.get(laid.sha256) as Picture;
    // The bar of the older take began at 60; under the newer one it begins at 63.
    expect(inkAt(picture, 61)).toBeLessThan(80);
    expect(inkAt(picture, 64)).toBeGreaterThan(200);
    expect(await compare.lay(ref('first'), ref('second'), made)).toEqual(ref('first'));
    expect([...made.keys()]).toEqual([laid.sha256]);
  });
});

describe('checks after a retake', () => {
  const finding = (over: Partial<FixFinding>): FixFinding => ({
    check: 'leaks',
    level: '',
    drawing: '1',
    bbox: [100, 50, 10, 10],
    message: 'open by 6 px',
    key: 'leaks//1/12/6',
    lineDigest: 'a',
    ...over,
  });

  test('what failed before at the same place is not new; another place, check or drawing is', () => {
    const before = [finding({})];
    const now = [
      finding({ lineDigest: 'redrawn' }),
      // Two px on, across the border of its key's cell: still the same fault.
      finding({ key: 'leaks//1/13/6', bbox: [102, 50, 10, 10] }),
      finding({ key: 'leaks//1/30/6', bbox: [240, 50, 10, 10] }),
      finding({ key: 'weight//1/12/6', check: 'weight' }),
      finding({ key: 'leaks//2/12/6', drawing: '2' }),
    ];
    expect(freshFindings(now, before, wide).map(({ key }) => key)).toEqual([
      'leaks//1/30/6',
      'weight//1/12/6',
      'leaks//2/12/6',
    ]);
    expect(freshFindings(now, now, wide)).toEqual([]);
    expect(before.map((old) => stillFails(old, now, wide))).toEqual([true]);
    expect(stillFails(finding({ check: 'drift' }), now, wide)).toBe(false);
  });

  test('the shot before its retakes has each drawing’s take before the newest', () => {
    const before = beforeRetakes(shot);
    expect(before?.levels[0]?.drawings.map(({ takes }) => takes.map(({ number }) => number))).toEqual([
      [1],
      [1],
      [1],
    ]);
    expect(before && beforeRetakes(before)).toBeUndefined();
  });
});

describe('the desk of retakes', () => {
  const open = async (entries: readonly Entry[]) => {
    const session = await openSession(await shelfOf(entries), handClock(), shot.id);
    if (!session) throw new Error('no session');
    return { session, desk: retakesOf(session) };
  };

  test('a director’s word goes to the note, and the next fixed one comes up by itself', async () => {
    const [one, three] = [entry(ring('1', 'first', 252)), entry(ring('3', 'first', 60))];
    const { session, desk } = await open([one, three, state(one, 'fixed'), state(three, 'fixed')]);
    expect(desk.goOn()).toBe(true);
    expect(session.model.value.drawing).toBe('1');
    desk.decide('approved');
    expect(session.model.value.drawing).toBe('3');
    expect(desk.current.value?.note.id).toBe(three.id);
    desk.decide('reopened');
    expect(desk.waiting.value).toEqual([]);
    const states = mergeNotes(session.ledger.entries.value).notes.map((note) => note.state);
    expect(states).toEqual(['approved', 'reopened']);
    session.undo();
    expect(desk.waiting.value.map(({ note }) => note.id)).toEqual([three.id]);
  });

  test('the two takes lie in place of clean and rough while they are looked at, and no longer', async () => {
    const { session, desk } = await open([]);
    const takeOff = desk.lay();
    const lies = (label: string) => {
      session.act({ do: 'drawing', label });
      const spread = session.laid.value?.spread(session.shot.value, session.model.value);
      return spread && [spread.rough[0]?.sha256, spread.clean[0]?.sha256];
    };
    expect(lies('1')).toEqual(['first', 'second']);
    expect(lies('2')).toBeUndefined();
    session.act({ do: 'drawing', label: '1' });
    session.stageEvents.flip(-1);
    expect(session.model.value).toMatchObject({ drawing: '1', way: 'rough' });
    expect(session.laid.value?.words('rough')).toBe('Take 1');
    session.stageEvents.flip(1);
    expect(session.model.value).toMatchObject({ drawing: '1', way: 'clean' });
    takeOff();
    session.stageEvents.flip(1);
    expect(session.model.value.drawing).toBe('2');
  });

  test('an artist may not approve', async () => {
    const note = entry(ring('1', 'first', 252), undefined, dov);
    const { desk, session } = await open([note]);
    desk.goTo(desk.items.value[0]!);
    const { setPerson } = await import('../../../src/desk/table.ts');
    setPerson({ role: 'artist' });
    const before = session.ledger.entries.value;
    desk.decide('approved');
    expect(session.ledger.entries.value).toEqual(before);
    expect(session.notice.value?.says).toContain('artist');
    // Its note stays in hand.
    expect(desk.current.value?.note.id).toBe(note.id);
    setPerson({ role: 'director' });
  });
});

describe('verdicts of the desk', () => {
  const note = entry(ring('1', 'first', 252));
  afterEach(() => vi.unstubAllGlobals());

  /** The desk over a shelf of which a test may take a picture away, and a worker that it may break. */
  async function open(more: readonly Entry[] = []) {
    const world = { missing: '', broken: false, asked: 0 };
    vi.stubGlobal(
      'Worker',
      class {
        readonly #listeners: ((event: { data: unknown }) => void)[] = [];
        addEventListener(type: string, listener: (event: { data: unknown }) => void): void {
          if (type === 'message') this.#listeners.push(listener);
        }
        postMessage({ id, ask: asked }: { readonly id: number; readonly ask: TakesAsk }): void {
          world.asked++;
          const answer = world.broken
            ? { id, failed: 'Array buffer allocation failed' }
            : asked.kind === 'change'
              ? { id, answer: { change: takeChange(inkOf(asked.before), inkOf(asked.after)) } }
              : {
                  id,
                  answer: {
                    picture: layOn(asked.older, asked.move, {
                      width: asked.sizePx[0],
                      height: asked.sizePx[1],
                    }),
                  },
                };
          queueMicrotask(() => {
            for (const listener of this.#listeners) listener({ data: answer });
          });
        }
        terminate(): void {}
      },
    );
    const kept = await shelfOf([note, ...more]);
    const shelf: Shelf = {
      ...kept,
      picture: async (sha256, ...rest) =>
        sha256 === world.missing ? undefined : kept.picture(sha256, ...rest),
      file: async (sha256) => (sha256 === world.missing ? undefined : kept.file(sha256)),
    };
    const session = await openSession(shelf, handClock(), shot.id);
    if (!session) throw new Error('no session');
    return { world, session, desk: retakesOf(session) };
  }

  test('a take that was not here is looked at again when it has come', async () => {
    const { world, session, desk } = await open();
    world.missing = 'second';
    expect(desk.verdictOf(note.id)?.verdict).toBe('looking');
    await expect.poll(() => desk.verdictOf(note.id)?.verdict).toBe('not to be told');
    world.missing = '';
    // Something is said of the shot: whatever it is, another look is due.
    await putShot(session.shelf, { ...shot, title: 'Another title' });
    await expect.poll(() => desk.verdictOf(note.id)?.verdict).toBe('redrawn here');
  });

  test('of a note on several drawings each is told; one whose take then is not known is not', async () => {
    const on = (known: Readonly<Record<string, string>>): Entry => {
      const body = ring('1', 'first', 252) as Extract<Body, { kind: 'pin' }>;
      return entry({ ...body, drawings: ['1', '2', '3'], on: known });
    };
    const [all, some] = [on({ 2: 'other', 3: 'first' }), on({ 3: 'first' })];
    const { desk } = await open([all, some]);
    await expect
      .poll(() => desk.verdictOf(all.id))
      .toEqual({ verdict: 'not redrawn since', here: 1, of: 3, notHere: ['2', '3'], unknown: [] });
    await expect
      .poll(() => desk.verdictOf(some.id))
      .toEqual({ verdict: 'not redrawn since', here: 1, of: 3, notHere: ['3'], unknown: ['2'] });
  });

  test('a comparison that failed is called so, tells why, and is tried again', async () => {
    const { world, session, desk } = await open();
    world.broken = true;
    desk.verdictOf(note.id);
    await expect.poll(() => desk.verdictOf(note.id)?.verdict).toBe('not compared');
    expect(desk.trouble.value).toMatch(/^Comparing takes stopped; /);
    world.broken = false;
    await putShot(session.shelf, { ...shot, title: 'Another title' });
    await expect.poll(() => desk.verdictOf(note.id)?.verdict).toBe('redrawn here');
    expect(desk.trouble.value).toBe('');
  });

  test('a desk that was left compares no more', async () => {
    const { world, session, desk } = await open();
    void session.close();
    desk.verdictOf(note.id);
    await new Promise((done) => setTimeout(done, 20));
    expect(world.asked).toBe(0);
    expect(desk.trouble.value).toBe('');
  });

  test('takes laid right are let go of with the panel, and laid again with it', async () => {
    const { session, desk } = await open();
    session.act({ do: 'drawing', label: '3' });
    const under = () =>
      session.laid.value?.spread(session.shot.value, session.model.value)?.rough[0]?.sha256 ?? '';
    const takeOff = desk.lay();
    await expect.poll(() => isMade(under())).toBe(true);
    expect(session.made.size).toBe(1);
    // Let go for another's sake while it lies on the paper.
    session.made.clear();
    session.act({ do: 'drawing', label: '1' });
    session.act({ do: 'drawing', label: '3' });
    await expect.poll(() => isMade(under())).toBe(true);
    takeOff();
    expect(session.made.size).toBe(0);
    desk.lay();
    await expect.poll(() => isMade(under())).toBe(true);
  });
});
