/**
 * What every shelf does, as cases that run in Node and inside a browser page (so: no test runner here).
 * A case opens the shelf as often as it likes: each opening is a tab of the same storage.
 */
import type { Picture } from '../../src/line/picture.ts';
import type { Entry } from '../../src/note/entry.ts';
import type { NewImage, Shelf, ShelfErrorCode } from '../../src/shelf/types.ts';
import { ShelfError } from '../../src/shelf/types.ts';
import type { ImageRef, Shot } from '../../src/shot/model.ts';
import { author, putShot } from './put-shot.ts';

/** The same storage each time within one case. */
export type OpenTab = () => Promise<Shelf>;

function equal(what: string, got: unknown, expected: unknown): void {
  const [one, other] = [JSON.stringify(sorted(got)), JSON.stringify(sorted(expected))];
  if (one !== other) throw new Error(`${what}: expected ${other}, received ${one}.`);
}

/** Fields in one order: which came first says nothing. */
function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== 'object' || value === null) return value;
  const fields = Object.entries(value).map(([name, part]) => [name, sorted(part)] as const);
  return Object.fromEntries(fields.sort(([a], [b]) => (a < b ? -1 : 1)));
}

async function rejects(what: string, code: ShelfErrorCode, work: Promise<unknown>): Promise<void> {
  const error = await work.then(
    () => undefined,
    (failed: unknown) => failed,
  );
  equal(`${what}, code of the error`, error instanceof ShelfError ? error.code : String(error), code);
}

const shaOf = (n: number): string => n.toString(16).padStart(64, '0');

export const refOf = (n: number, byteLength = 700): ImageRef => ({
  sha256: shaOf(n),
  width: 37,
  height: 23,
  mediaType: 'image/png',
  byteLength,
});

/** White paper with one grey stroke, its place and tone by `n`; not square, no repeated sizes. */
export function pictureOf(n: number, width: number, height: number, channels: 1 | 4): Picture {
  const data = new Uint8Array(width * height * channels).fill(255);
  for (let y = 2; y < height - 1; y++)
    data.fill((n * 37 + y) % 200, (y * width + 3) * channels, (y * width + 5) * channels);
  return { width, height, channels, data };
}

/** Bytes that no storage can pack tighter (a linear congruential generator: Numerical Recipes, from memory). */
function noise(seed: number, byteLength: number): ArrayBuffer {
  const words = new Uint32Array(Math.ceil(byteLength / 4));
  let state = seed;
  for (let i = 0; i < words.length; i++)
    words[i] = state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
  return words.buffer.slice(0, byteLength);
}

export const imageOf = (n: number, byteLength = 700): NewImage => ({
  ref: refOf(n, byteLength),
  file: noise(n, byteLength),
  thumb: pictureOf(n, 11, 7, 1),
  flip: pictureOf(n, 37, 23, 4),
});

export const shotOf = (id: string, images: readonly number[], title = `Shot ${id}`): Shot => ({
  id,
  title,
  fps: 24,
  sizePx: [37, 23],
  levels: [
    {
      name: '',
      drawings: images.map((n, i) => ({ label: String(i + 1), rough: refOf(n), takes: [] })),
      exposures: images.map((_, i) => ({ drawing: String(i + 1), frame: i * 2 + 1, length: 2 })),
    },
  ],
});

export const entryOf = (id: string, shot: string, text = 'Thinner here.'): Entry => ({
  v: 1,
  id,
  shot,
  writer: { id: 'p1', name: 'Ines', role: 'director' },
  stamp: { wallMs: 1_790_000_000_000, counter: 3 },
  body: { kind: 'reply', to: 'pin-1', text },
});

async function keep(shelf: Shelf, shot: Shot, images: readonly number[]): Promise<void> {
  for (const n of images) await shelf.keepImage(imageOf(n));
  await putShot(shelf, shot);
}

const ids = (entries: readonly Entry[]): string[] => entries.map((entry) => entry.id).sort();

/** Resolves with the first change another tab is told of. */
const nextChange = (shelf: Shelf): Promise<unknown> =>
  new Promise((done) => {
    const stop = shelf.onChange((change) => {
      stop();
      done(change);
    });
  });

export const CASES: Readonly<Record<string, (open: OpenTab) => Promise<void>>> = {
  'an empty shelf has nothing': async (open) => {
    const shelf = await open();
    equal('shots', await shelf.shots(), []);
    equal('shot', await shelf.shot('none'), undefined);
    equal('picture', await shelf.picture(shaOf(1), 'flip'), undefined);
    equal('file', await shelf.file(shaOf(1)), undefined);
    equal('entries', await shelf.entries('none'), []);
    equal('unsent', await shelf.marked('unsent'), []);
    equal('value', await shelf.value('none'), undefined);
    equal('desk state', await shelf.deskState('none'), undefined);
  },

  'what is kept is there in another tab, bytes and pixels alike': async (open) => {
    const shelf = await open();
    const shot = shotOf('s', [1, 2]);
    await keep(shelf, shot, [1, 2]);
    const other = await open();
    equal('shot', await other.shot('s'), shot);
    equal('shots', await other.shots(), [shot]);
    const file = await other.file(shaOf(2));
    equal('file', [...new Uint8Array(file ?? new ArrayBuffer(0))], [...new Uint8Array(imageOf(2).file)]);
    for (const size of ['thumb', 'flip'] as const) {
      const [got, expected] = [await other.picture(shaOf(2), size), imageOf(2)[size]];
      equal(size, got && { ...got, data: [...got.data] }, { ...expected, data: [...expected.data] });
    }
    equal('hasImage', [await other.hasImage(shaOf(1)), await other.hasImage(shaOf(3))], [true, false]);
  },

  'what the caller changes afterwards is not what is kept': async (open) => {
    const shelf = await open();
    const value = { words: ['one'] };
    await shelf.keepValue('draft', value);
    value.words.push('two');
    equal('value', await shelf.value('draft'), { words: ['one'] });
    await shelf.dropValue('draft');
    equal('dropped value', await shelf.value('draft'), undefined);
  },

  'a shot with an image that is not kept is refused, and the one before stays': async (open) => {
    const shelf = await open();
    const shot = shotOf('s', [1]);
    await keep(shelf, shot, [1]);
    await rejects('keepShot', 'missing', putShot(shelf, shotOf('s', [1, 9])));
    equal('shot', await shelf.shot('s'), shot);
  },

  'two tabs that change a shot at once: each changes what the other made of it': async (open) => {
    const [here, there] = [await open(), await open()];
    await keep(here, shotOf('s', [1]), [1]);
    const adding = (letter: string) => (now: Shot | undefined) =>
      shotOf('s', [1], `${now?.title ?? 'none'}${letter}`);
    await Promise.all(
      ['a', 'b', 'c', 'd'].flatMap((letter) => [
        here.changeShot('s', adding(letter), author()),
        there.changeShot('s', adding(letter), author()),
      ]),
    );
    const title = (await here.shot('s'))?.title ?? '';
    equal('letters', title.slice(-8).split('').sort().join(''), 'aabbccdd');
    equal('given back', (await there.changeShot('s', adding('e'), author())).title, `${title}e`);
    await rejects(
      'changeShot',
      'missing',
      here.changeShot('s', () => shotOf('s', [1, 9]), author()),
    );
    equal('after a refusal', (await here.shot('s'))?.title, `${title}e`);
    const told: unknown[] = [];
    const stop = here.onChange((change) => told.push(change));
    await here.changeShot('s', (now) => now ?? shotOf('s', [1]), author());
    equal('told of no change', told, []);
    stop();
  },

  'dropping a shot takes its images, but none that another shot uses': async (open) => {
    const shelf = await open();
    await keep(shelf, shotOf('a', [1, 2]), [1, 2]);
    await keep(shelf, shotOf('b', [2, 3]), [3]);
    await shelf.keepDeskState('a', { zoom: 2 });
    await shelf.dropShot('a');
    equal(
      'shots',
      (await shelf.shots()).map((shot) => shot.id),
      ['b'],
    );
    equal('files', [await shelf.file(shaOf(1)), (await shelf.file(shaOf(2)))?.byteLength], [undefined, 700]);
    equal('hasImage', [await shelf.hasImage(shaOf(1)), await shelf.hasImage(shaOf(2))], [false, true]);
    equal('desk state', await shelf.deskState('a'), undefined);
  },

  'unsent entries outlive their shot, sent ones do not': async (open) => {
    const shelf = await open();
    await keep(shelf, shotOf('a', [1]), [1]);
    await shelf.addEntries([entryOf('sent', 'a')], 'studio');
    await shelf.addEntries([entryOf('waiting', 'a')], 'here');
    await shelf.dropShot('a');
    equal('unsent', ids(await shelf.marked('unsent')), ['waiting']);
    equal('entries', ids(await shelf.entries('a')), ['waiting']);
  },

  'how far entries were fetched moves with them, and goes with their shot': async (open) => {
    const [here, there] = [await open(), await open()];
    await keep(here, shotOf('a', [1]), [1]);
    const page = { shotId: 'a', server: 'studio', from: 0, to: 2 };
    equal('at first', await here.fetchedTo('a', 'studio'), { at: 0 });
    await here.addEntries([entryOf('e1', 'a'), entryOf('e2', 'a')], 'studio', page);
    equal('after a page', await here.fetchedTo('a', 'studio'), { at: 2 });
    equal('at another server', await here.fetchedTo('a', 'other'), { at: 0 });
    // Another tab was on its way with the same page, and a third is ahead.
    await there.addEntries([entryOf('e1', 'a'), entryOf('e2', 'a')], 'studio', page);
    await there.addEntries([], 'studio', { ...page, from: 2, to: 9 });
    await here.addEntries([], 'studio', { ...page, from: 2, to: 5 });
    equal('only on from where it stood', await here.fetchedTo('a', 'studio'), { at: 9 });
    await here.dropShot('a');
    equal('without the shot', await here.fetchedTo('a', 'studio'), { at: 0 });
    await there.addEntries([entryOf('e10', 'a')], 'studio', { ...page, from: 9, to: 10 });
    equal('a page that was under way', await here.fetchedTo('a', 'studio'), { at: 0 });
  },

  'entries are a set: an id already there stays as it is': async (open) => {
    const shelf = await open();
    await shelf.addEntries([entryOf('e1', 'a', 'first')], 'here');
    await shelf.addEntries([entryOf('e1', 'a', 'second'), entryOf('e2', 'a')], 'here');
    const entries = await shelf.entries('a');
    equal('ids', ids(entries), ['e1', 'e2']);
    equal(
      'text',
      entries.find((entry) => entry.id === 'e1'),
      entryOf('e1', 'a', 'first'),
    );
    equal('another shot', await shelf.entries('b'), []);
    equal('a shot whose id begins alike', await shelf.entries('aa'), []);
  },

  'an entry is unsent until a server has it, however that is learned': async (open) => {
    const shelf = await open();
    await shelf.addEntries([entryOf('e1', 'a'), entryOf('e2', 'b'), entryOf('e3', 'a')], 'here');
    equal('unsent', ids(await shelf.marked('unsent')), ['e1', 'e2', 'e3']);
    await shelf.mark([entryOf('e1', 'a')], 'sent');
    await shelf.addEntries([entryOf('e2', 'b')], 'studio');
    equal('unsent after', ids(await shelf.marked('unsent')), ['e3']);
    await shelf.addEntries([entryOf('e1', 'a')], 'here');
    equal('a sent entry is not made unsent again', ids(await shelf.marked('unsent')), ['e3']);
    equal('kept', ids(await shelf.entries('a')), ['e1', 'e3']);
  },

  'the studio’s copy: its word on the writer holds, a false copy out of a file gives way, ours stays': async (
    open,
  ) => {
    const shelf = await open();
    const before = { ...entryOf('e1', 'a'), writer: { id: 'p1', name: 'me', role: 'director' as const } };
    await shelf.addEntries([before, entryOf('e3', 'a', 'ours')], 'here');
    await shelf.addEntries([entryOf('e2', 'a', 'false')], 'file');
    equal('brought', ids(await shelf.marked('brought')), ['e2']);
    const theirs = [entryOf('e1', 'a'), entryOf('e2', 'a', 'true'), entryOf('e3', 'a', 'theirs')];
    await shelf.addEntries(theirs, 'studio');
    const now = new Map((await shelf.entries('a')).map((entry) => [entry.id, entry]));
    equal('e1', now.get('e1'), entryOf('e1', 'a'));
    equal('e2', now.get('e2'), entryOf('e2', 'a', 'true'));
    equal('e3', now.get('e3'), entryOf('e3', 'a', 'ours'));
    equal('still to be sent', ids(await shelf.marked('unsent')), ['e3']);
    equal('brought no more', await shelf.marked('brought'), []);
  },

  'fetched again: what is not seen once more is only sent, and stays when its shot goes': async (open) => {
    const shelf = await open();
    const page = { shotId: 'a', server: 'studio', from: 0, to: 2, lastId: 'e2' };
    const seals = new Map([['e1', 'seal 1']]);
    await shelf.addEntries([entryOf('e1', 'a'), entryOf('e2', 'a')], 'studio', { ...page, seals });
    equal('place', await shelf.fetchedTo('a', 'studio'), { at: 2, id: 'e2' });
    equal('seals', [...(await shelf.seals(await shelf.entries('a')))], [['e1', 'seal 1']]);
    await shelf.fetchAgain('a', 'studio');
    equal('no place', await shelf.fetchedTo('a', 'studio'), { at: 0 });
    equal('only sent', ids(await shelf.marked('sent')), ['e1', 'e2']);
    await shelf.addEntries([entryOf('e2', 'a')], 'studio', { ...page, to: 1 });
    equal('not seen', ids(await shelf.marked('sent')), ['e1']);
    await shelf.dropShot('a');
    equal('stays', ids(await shelf.entries('a')), ['e1']);
    equal('its seal', (await shelf.seals(await shelf.entries('a'))).get('e1'), 'seal 1');
    await shelf.mark(await shelf.marked('sent'), 'unsent');
    equal('to be given back', ids(await shelf.marked('unsent', 'a')), ['e1']);
    await shelf.addEntries([entryOf('e1', 'a')], 'studio');
    await shelf.mark([entryOf('e1', 'a')], 'sent');
    equal('one that was seen meanwhile gets no mark', await shelf.marked('sent'), []);
  },

  'what this version cannot read is kept, and read when it can be': async (open) => {
    const shelf = await open();
    const odd = { ...entryOf('e9', 'a'), stamp: 'later' };
    const page = { shotId: 'a', server: 'studio', from: 0, to: 2 };
    const fine = { id: 'e8', value: entryOf('e8', 'a'), seal: 'seal 8' };
    await shelf.addEntries([], 'studio', { ...page, unread: [{ id: 'e9', value: odd }, fine] });
    equal('none is read', await shelf.entries('a'), []);
    const unread = async (mark: 'sent' | 'unsent'): Promise<string[]> =>
      (await shelf.markedUnread(mark, 'a')).map(({ id }) => id).sort();
    equal('all is there', await unread('sent'), []);
    await shelf.fetchAgain('a', 'studio');
    equal('only sent', await unread('sent'), ['e8', 'e9']);
    await shelf.addEntries([], 'studio', { ...page, unread: [fine] });
    equal('not seen', await unread('sent'), ['e9']);
    await shelf.mark(await shelf.markedUnread('sent'), 'unsent');
    equal('to be given back', await unread('unsent'), ['e9']);
    await shelf.dropShot('a');
    equal('the last copy stays', await unread('unsent'), ['e9']);
    await shelf.addEntries([], 'studio', { ...page, unread: [{ id: 'e9', value: odd }, fine] });
    await (await open()).readUnread();
    equal('what can be read now', await shelf.entries('a'), [entryOf('e8', 'a')]);
    equal('under its seal', (await shelf.seals([entryOf('e8', 'a')])).get('e8'), 'seal 8');
    equal('and waits for nothing', await shelf.marked('unsent'), []);
  },

  'a shot is what its entries make: kept by id, without pictures that are not here': async (open) => {
    const [one, other] = [await open(), await open()];
    await keep(one, shotOf('s', [1, 2]), [1, 2]);
    equal('held to be put up', [...(await one.heldShots())], ['s']);
    const entries = (await one.entries('s')).map((entry) => ({ ...entry, shot: 't' }));
    await other.addEntries(entries, 'studio');
    equal('not on the shelf yet', await other.shot('t'), undefined);
    await rejects('keepShot', 'missing', other.keepShot('none'));
    await other.keepShot('t');
    equal('kept', (await other.shot('t'))?.title, 'Shot s');
    equal('lacks nothing', await other.lacking('t'), []);
    const lacks = { kind: 'take', level: '', drawing: '1', image: refOf(7) } as const;
    await other.addEntries([{ ...entryOf('new take', 't'), body: lacks }], 'studio');
    equal('lacks', await other.lacking('t'), [refOf(7)]);
    equal('is not shown', (await other.shot('t'))?.levels[0]?.drawings[0]?.takes, []);
    await other.keepImage(imageOf(7));
    equal('is', (await other.shot('t'))?.levels[0]?.drawings[0]?.takes, [{ number: 1, image: refOf(7) }]);
  },

  'many at once are a set as few are, over several shots': async (open) => {
    const shelf = await open();
    await shelf.addEntries([entryOf('e7', 'a', 'first'), entryOf('e8', 'b')], 'here');
    const many = Array.from({ length: 120 }, (_, n) =>
      entryOf(`e${n}`, n % 3 === 2 ? 'b' : 'a', n === 7 ? 'first' : undefined),
    );
    await shelf.addEntries(many, 'studio');
    await shelf.addEntries(many, 'here');
    equal('of both', (await shelf.entries('a')).length + (await shelf.entries('b')).length, 120);
    equal('unsent', await shelf.marked('unsent'), []);
    equal(
      'text',
      (await shelf.entries('a')).find((entry) => entry.id === 'e7'),
      entryOf('e7', 'a', 'first'),
    );
  },

  'two tabs add at once and lose nothing': async (open) => {
    const [here, there] = [await open(), await open()];
    await Promise.all(
      Array.from({ length: 30 }, (_, i) =>
        (i % 2 === 0 ? here : there).addEntries([entryOf(`e${i}`, 'a')], 'here'),
      ),
    );
    equal('count', (await here.entries('a')).length, 30);
    equal('unsent', (await there.marked('unsent')).length, 30);
  },

  'another tab is told of changes': async (open) => {
    const [here, there] = [await open(), await open()];
    let told = nextChange(there);
    await here.addEntries([entryOf('e1', 'a')], 'here');
    equal('entries', await told, { kind: 'entries', shotId: 'a' });
    told = nextChange(there);
    await keep(here, shotOf('s', [1]), [1]);
    equal('shots', await told, { kind: 'shots', shotId: 's' });
    told = nextChange(here);
    await here.keepValue('hand', 'left');
    equal('values, in the same tab', await told, { kind: 'values' });
  },

  'the place at the desk is kept for each shot': async (open) => {
    const shelf = await open();
    await shelf.keepDeskState('a', { drawing: '12A' });
    await shelf.keepDeskState('b', { drawing: '3' });
    equal(
      'states',
      [await shelf.deskState('a'), await shelf.deskState('b')],
      [{ drawing: '12A' }, { drawing: '3' }],
    );
  },

  'an image of a running intake is not swept, neither by this tab nor by another': async (open) => {
    const [here, there] = [await open(), await open()];
    await here.keepImage(imageOf(1));
    equal('swept', [await here.sweep(), await there.sweep()], [0, 0]);
    equal('kept', await here.hasImage(shaOf(1)), true);
  },

  'usage adds up each shot': async (open) => {
    const shelf = await open();
    await keep(shelf, shotOf('a', [1, 2]), [1, 2]);
    await keep(shelf, shotOf('b', [2]), []);
    const { perShot, usedBytes } = await shelf.usage();
    const [a = 0, b = 0] = [perShot.get('a'), perShot.get('b')];
    // Two files of 700 bytes each, and pictures that are smaller than their pixels (77 + 3404 bytes).
    if (!(b > 700 && b < 700 + 3481 && a > 1400 && a < 2 * (700 + 3481)))
      throw new Error(`a ${a}, b ${b} bytes.`);
    if (usedBytes <= 0) throw new Error(`${usedBytes} bytes used in all.`);
  },

  'health is told at once': async (open) => {
    const shelf = await open();
    const heard: string[] = [];
    const stop = shelf.onHealth((health) => heard.push(health));
    await shelf.keepValue('a', 1);
    equal('health', heard, ['saved', 'pending', 'saved']);
    stop();
    await shelf.keepValue('a', 2);
    equal('after stopping', heard.length, 3);
  },
};

/** Inside a page: one case on a real shelf of its own. */
export async function runOnTablet(name: string): Promise<void> {
  const { openShelf } = await import('../../src/shelf/open.ts');
  await CASES[name]?.(() => openShelf(`contract ${name}`));
}
