import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { unzipSync, zipSync } from 'fflate';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { decode } from '../../../src/intake/decode.ts';
import { makeImage } from '../../../src/intake/make-image.ts';
import { decodePicture } from '../../../src/intake/node/decode-picture.ts';
import { readShot } from '../../../src/intake/node/read-shot.ts';
import { openIntake } from '../../../src/intake/open.ts';
import { planIntake } from '../../../src/intake/plan.ts';
import { type InputFile, sayOdd } from '../../../src/intake/source.ts';
import { type TakeInOptions, takeIn } from '../../../src/intake/take-in.ts';
import type { ImageMaker, Newer, TakenIn } from '../../../src/intake/types.ts';
import { shotFiles, writeShotZip } from '../../../src/intake/write-shot.ts';
import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import type { Shelf } from '../../../src/shelf/types.ts';
import { checkShot } from '../../../src/shot/check-shot.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { author } from '../../support/put-shot.ts';
import { anyPng, drawn, fileOf } from './make.ts';

/** The page's decoder without its workers. Counts what it decoded. */
function maker(): ImageMaker & { made: number } {
  return {
    width: 2,
    made: 0,
    async make(file, { pixels = false } = {}) {
      this.made++;
      return makeImage(await decode(file), file, pixels);
    },
    close: () => undefined,
  };
}

let ids = 0;
async function take(
  files: readonly InputFile[],
  shelf: Shelf,
  more: Partial<TakeInOptions> = {},
  answers = {},
): Promise<TakenIn> {
  const plan = planIntake(await openIntake(files), new Map(Object.entries(answers)), more.into);
  return takeIn(plan, { maker: maker(), keeper: shelf, newId: () => `shot-${++ids}`, author, ...more });
}

const pair = async (label: string, seed: number) => [
  fileOf(`sc04/rough/${label}.png`, await drawn(seed, { colour: '#3050c0' })),
  fileOf(`sc04/clean/${label}.png`, await drawn(seed + 1)),
];
const three = async () => (await Promise.all([pair('1', 10), pair('3', 20), pair('5', 30)])).flat();

describe('taking in', () => {
  it('keeps images and then the shot, whole and checked', async () => {
    const shelf = memoryShelf();
    const progress: string[] = [];
    const { shots, odd } = await take(await three(), shelf, {
      onProgress: ({ doneFiles, totalFiles }) => progress.push(`${doneFiles}/${totalFiles}`),
    });
    expect(odd).toEqual([]);
    expect(progress).toEqual(['1/6', '2/6', '3/6', '4/6', '5/6', '6/6']);
    const [shot] = await shelf.shots();
    expect(shots.map(({ shot, added, unchanged }) => [shot, added, unchanged])).toEqual([[shot, 6, 0]]);
    expect(checkShot(JSON.parse(JSON.stringify(shot))).ok).toBe(true);
    expect(shot).toMatchObject({ title: 'sc04', fps: 24, fpsGuessed: true, sizePx: [40, 30] });
    expect(shot?.levels[0]).toMatchObject({
      exposuresGuessed: true,
      exposures: [{ drawing: '1', frame: 1, length: 2 }, { frame: 3 }, { frame: 5 }],
    });
    const first = shot?.levels[0]?.drawings[0];
    const [rough, clean] = [first?.rough?.sha256 ?? '', first?.takes[0]?.image.sha256 ?? ''];
    expect(new Uint8Array((await shelf.file(clean)) ?? new ArrayBuffer())).toEqual(await drawn(11));
    // Coloured lines keep their colour; a grey drawing needs one channel.
    expect((await shelf.picture(rough, 'flip'))?.channels).toBe(4);
    expect((await shelf.picture(clean, 'flip'))?.channels).toBe(1);
  });

  it('names what cannot be taken and takes the rest', async () => {
    const png = await drawn(40);
    const files = [
      ...(await three()),
      fileOf('sc04/clean/7.png', png.subarray(0, png.length - 20)),
      fileOf('sc04/rough/7.png', await drawn(41, { width: 20 })),
    ];
    const { shots, odd } = await take(files, memoryShelf());
    expect(odd.map(sayOdd)).toEqual([
      'sc04/clean/7.png: it ends in the middle of the picture. Copy or export it again.',
      'sc04: drawing 7 is smaller than the paper of 40 × 30 px, and centred on it.',
    ]);
    expect(shots[0]?.shot.levels[0]?.drawings.map(({ label, takes }) => [label, takes.length])).toEqual([
      ['1', 1],
      ['3', 1],
      ['5', 1],
      ['7', 0],
    ]);
  });

  it('folds one file a frame by equal pixels, whatever their bytes', async () => {
    const seeds = [1, 1, 1, 2, 2, 3];
    const files = await Promise.all(
      seeds.map(async (seed, i) => {
        // Frame 2 is packed otherwise: other bytes, equal pixels.
        const png = await drawn(seed);
        const bytes =
          i === 1
            ? await import('sharp').then(({ default: sharp }) =>
                sharp(png).png({ compressionLevel: 0 }).toBuffer(),
              )
            : png;
        return fileOf(`sc/clean/frame.000${i + 1}.png`, bytes);
      }),
    );
    const { shots, odd } = await take(files, memoryShelf());
    expect(shots[0]?.shot.levels[0]?.exposures).toEqual([
      { drawing: '1', frame: 1, length: 3 },
      { drawing: '4', frame: 4, length: 2 },
      { drawing: '6', frame: 6, length: 1 },
    ]);
    expect(shots[0]?.shot.levels[0]?.exposuresGuessed).toBeUndefined();
    expect(odd.map(sayOdd)).toContain(
      'sc: equal pictures in its 6 numbered frames were taken as 3 drawings, held.',
    );
  });

  it('keeps the place of a drawing whose clean cannot be read, among frames that are held', async () => {
    // Frames 1 to 4 share a rough; the clean of 2 is torn, and that of 3 is drawn otherwise.
    const rough = await drawn(7, { colour: '#3050c0' });
    const cleans = [await drawn(1), (await drawn(1)).subarray(0, 60), await drawn(2), await drawn(2)];
    const files = cleans.flatMap((clean, i) => [
      fileOf(`sc/rough/${i + 1}.png`, rough),
      fileOf(`sc/clean/${i + 1}.png`, clean),
    ]);
    const { shots } = await take(files, memoryShelf());
    expect(shots[0]?.shot.levels[0]?.drawings.map(({ label, takes }) => [label, takes.length])).toEqual([
      ['1', 1],
      ['2', 0],
      ['3', 1],
    ]);
    expect(shots[0]?.shot.levels[0]?.exposures).toEqual([
      { drawing: '1', frame: 1, length: 1 },
      { drawing: '2', frame: 2, length: 1 },
      { drawing: '3', frame: 3, length: 2 },
    ]);
  });

  it('says how large the paper gets under two long strips', async () => {
    const strip = async (width: number, height: number) =>
      new Uint8Array(
        await sharp({ create: { width, height, channels: 3, background: '#fff' } })
          .png()
          .toBuffer(),
      );
    const files = [
      fileOf('sc/clean/1.png', await strip(20_000, 20)),
      fileOf('sc/clean/3.png', await strip(20, 20_000)),
    ];
    const { odd } = await take(files, memoryShelf());
    expect(odd.map(sayOdd)).toContain(
      'sc: the widest of its pictures and the tallest make a paper of 20000 × 20000 px together, more than one picture may have; look whether they belong to one shot.',
    );
  });

  it('follows shot.json and exposure.csv, and tells what in them does not fit', async () => {
    const json = {
      title: 'Ferry',
      fps: 25,
      mood: 'dusk',
      levels: [
        {
          drawings: [
            { label: '1', role: 'key' },
            { label: '3', role: 'inbetween', chart: { from: '1', to: '5', fraction: 0.5 } },
          ],
        },
      ],
    };
    const files = [
      ...(await three()),
      fileOf('sc04/shot.json', JSON.stringify(json)),
      fileOf('sc04/exposure.csv', 'drawing,frame,length\n1,1,4\n3,5,1\n8,6,1\n'),
    ];
    const { shots, odd } = await take(files, memoryShelf());
    expect(shots[0]?.shot).toMatchObject({
      title: 'Ferry',
      fps: 25,
      extra: { mood: 'dusk' },
      levels: [
        {
          exposures: [
            { drawing: '1', frame: 1, length: 4 },
            { drawing: '3', frame: 5, length: 1 },
          ],
        },
      ],
    });
    expect(shots[0]?.shot.levels[0]?.drawings[1]).toMatchObject({
      role: 'inbetween',
      chart: { from: '1', to: '5', fraction: 0.5 },
    });
    expect(odd.map(sayOdd)).toEqual(['Ferry: Frame 6 exposes drawing 8, which is not there: left out.']);
  });

  it('tells three faults of a sheet and how many more there are', async () => {
    const rows = Array.from({ length: 300 }, (_, n) => `1,${-n}`).join('\n');
    const files = [...(await three()), fileOf('sc04/exposure.csv', `drawing,frame\n${rows}`)];
    const { odd } = await take(files, memoryShelf());
    expect(odd.map(sayOdd)).toEqual([
      ...[0, -1, -2].map(
        (frame, n) => `sc04: exposure.csv, record ${n + 2}, frame: “${frame}” is not a whole number from 1.`,
      ),
      'sc04: 297 more like these.',
    ]);
  });

  it('stops when told, keeps no half shot, and goes on where it was', async () => {
    const shelf = memoryShelf();
    const stop = new AbortController();
    const files = [...(await three()), fileOf('sc04/exposure.csv', 'drawing,frame\n1,1\n3,3\n5,5')];
    const stopped = take(files, shelf, {
      signal: stop.signal,
      onProgress: ({ doneFiles }) => doneFiles === 3 && stop.abort(),
    });
    await expect(stopped).rejects.toMatchObject({ name: 'AbortError' });
    expect(await shelf.shots()).toEqual([]);
    const decoder = maker();
    const { shots } = await take(files, shelf, { maker: decoder });
    expect(shots[0]?.added).toBe(6);
    // Those kept before the stop are known by their digest and not decoded again.
    expect(decoder.made).toBeLessThanOrEqual(3);
  });

  it('passes on what the shelf says when it is full, and keeps no shot', async () => {
    const shelf = memoryShelf();
    const full = {
      ...shelf,
      hasImage: shelf.hasImage.bind(shelf),
      keepImage: () => Promise.reject(new Error('full')),
      changeShot: shelf.changeShot.bind(shelf),
      shot: shelf.shot.bind(shelf),
    };
    await expect(take(await three(), shelf, { keeper: full })).rejects.toThrow('full');
    expect(await shelf.shots()).toEqual([]);
  });
});

describe('adding to a shot', () => {
  const start = async (): Promise<{ shelf: Shelf; shot: Shot }> => {
    const shelf = memoryShelf();
    const { shots } = await take(await three(), shelf);
    const shot = shots[0]?.shot;
    if (!shot) throw new Error('nothing was taken in');
    return { shelf, shot };
  };

  it('makes a new take of a new clean, and nothing of equal bytes', async () => {
    const { shelf, shot } = await start();
    const files = [
      fileOf('fixes/clean_3.png', await drawn(99)),
      fileOf('fixes/clean_5.png', await drawn(31)),
    ];
    const { shots } = await take(files, shelf, { into: shot });
    expect(shots[0]).toMatchObject({ added: 1, unchanged: 1 });
    const kept = await shelf.shot(shot.id);
    expect(kept?.levels[0]?.drawings.map(({ takes }) => takes.map(({ number }) => number))).toEqual([
      [1],
      [1, 2],
      [1],
    ]);
    const again = await take(files, shelf, { into: kept ?? shot });
    expect(again.shots[0]).toMatchObject({ added: 0, unchanged: 2 });
  });

  it('leaves what came to the shot while the files were read', async () => {
    const { shelf, shot } = await start();
    const meanwhile = maker();
    const reading = take([fileOf('fixes/clean_3.png', await drawn(99))], shelf, {
      into: shot,
      maker: {
        ...meanwhile,
        async make(file, options) {
          await take([fileOf('other/clean_5.png', await drawn(98))], shelf, { into: shot });
          return meanwhile.make(file, options);
        },
      },
    });
    const { shots } = await reading;
    const kept = await shelf.shot(shot.id);
    expect(kept?.levels[0]?.drawings.map(({ takes }) => takes.length)).toEqual([1, 2, 2]);
    expect(shots[0]?.shot).toEqual(kept);
  });

  it('makes no take of equal pixels in other bytes, and says whose they are', async () => {
    const { shelf, shot } = await start();
    await take([fileOf('fixes/clean_3.png', await drawn(99))], shelf, { into: shot });
    const second = (await shelf.shot(shot.id)) ?? shot;
    // Packed otherwise by another program: other bytes, equal pixels (PNG is lossless).
    const again = async (seed: number) =>
      new Uint8Array(
        await sharp(await drawn(seed))
          .png({ compressionLevel: 0 })
          .toBuffer(),
      );
    const files = [
      fileOf('export/clean_3.png', await again(99)),
      fileOf('export/clean_5.png', await again(98)),
    ];
    const told: Newer[] = [];
    const { shots, odd } = await take(files, shelf, {
      into: second,
      async onNewer(newer) {
        // Whatever is said of newer takes is said before anyone can see them.
        expect(await shelf.shot(shot.id)).toEqual(second);
        told.push(newer);
      },
    });
    expect(shots[0]).toMatchObject({ added: 1, unchanged: 1 });
    expect(told.map(({ before }) => before)).toEqual([second]);
    expect(odd.map(sayOdd)).toEqual([
      'export/clean_3.png: it is the same, pixel for pixel, as take 2 of 3, so it is no new take.',
    ]);
    const kept = await shelf.shot(shot.id);
    expect(kept?.levels[0]?.drawings.map(({ takes }) => takes.length)).toEqual([1, 2, 2]);
  });

  it('asks each drawing for itself when one file is the newer clean of two', async () => {
    const { shelf, shot } = await start();
    const bytes = async (seed: number) =>
      new Uint8Array(
        await sharp(await drawn(seed))
          .png({ compressionLevel: 0 })
          .toBuffer(),
      );
    // The clean of 1 (seed 11) in other bytes, for 1 itself and for 3.
    const again = await bytes(11);
    const first = await take([fileOf('f/clean_1.png', again), fileOf('f/clean_3.png', again)], shelf, {
      into: shot,
    });
    expect(first.odd.map(sayOdd)).toEqual([
      'f/clean_1.png: it is the same, pixel for pixel, as take 1 of 1, so it is no new take.',
    ]);
    const kept = (await shelf.shot(shot.id)) ?? shot;
    expect(kept.levels[0]?.drawings.map(({ takes }) => takes.length)).toEqual([1, 2, 1]);
    expect(await shelf.hasImage(kept.levels[0]?.drawings[1]?.takes[1]?.image.sha256 ?? '')).toBe(true);
    // Once more in other bytes, the other way round: both show it already.
    const third = new Uint8Array(await sharp(again).png({ compressionLevel: 5 }).toBuffer());
    const second = await take([fileOf('f/clean_3.png', third), fileOf('f/clean_1.png', third)], shelf, {
      into: kept,
    });
    expect(second.shots[0]).toMatchObject({ added: 0 });
    expect(second.odd.map(sayOdd).toSorted()).toEqual([
      'f/clean_1.png: it is the same, pixel for pixel, as take 1 of 1, so it is no new take.',
      'f/clean_3.png: it is the same, pixel for pixel, as take 2 of 3, so it is no new take.',
    ]);
  });

  it('leaves a rough as it is unless told to replace it', async () => {
    const { shelf, shot } = await start();
    const files = [fileOf('new/rough_3.png', await drawn(77))];
    const kept = await take(files, shelf, { into: shot });
    expect(kept.odd.map(({ why }) => why)).toContain('rough 3 is in the shot already and differs');
    expect((await shelf.shot(shot.id))?.levels[0]?.drawings[1]?.rough).toEqual(
      shot.levels[0]?.drawings[1]?.rough,
    );
    await take(files, shelf, { into: shot }, { roughs: 'replace' });
    expect((await shelf.shot(shot.id))?.levels[0]?.drawings[1]?.rough).not.toEqual(
      shot.levels[0]?.drawings[1]?.rough,
    );
  });

  it('takes a new drawing and a new level', async () => {
    const { shelf, shot } = await start();
    const { shots } = await take([fileOf('n/clean_4.png', await drawn(55))], shelf, { into: shot });
    expect(shots[0]?.shot.levels[0]?.drawings.map(({ label }) => label)).toEqual(['1', '3', '4', '5']);
    const other = await take(
      [fileOf('n/clean_4.png', await drawn(55)), fileOf('n/hat/clean_1.png', await drawn(56))],
      shelf,
      { into: shot },
      { 'level:hat': '+' },
    );
    expect(other.shots[0]?.shot.levels.map(({ name }) => name)).toContain('hat');
  });
});

describe('written out and read back', () => {
  let folder = '';
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'fairpeg-intake-'));
  });
  afterAll(() => rm(folder, { recursive: true }));

  const rich = async (): Promise<{ shelf: Shelf; shot: Shot }> => {
    const shelf = memoryShelf();
    const json = {
      title: 'Ferry: at dusk?',
      fps: 24,
      mood: 'dusk',
      levels: [{ name: 'body', drawings: [{ label: '1', role: 'key', hours: 2 }] }, { name: 'hat' }],
    };
    const files = await Promise.all(
      [
        'body/rough/1',
        'body/clean/1',
        'body/clean/take 2/1',
        'body/rough/12A',
        'hat/rough/1',
        'hat/clean/1',
      ].map(async (path, i) => fileOf(`f/${path}.png`, await drawn(100 + i))),
    );
    const versions = files.map((file) =>
      file.path === 'f/body/clean/1.png' ? { ...file, path: 'f/body/clean/take 1/1.png' } : file,
    );
    const { shots } = await take(
      [
        ...versions,
        fileOf('f/shot.json', JSON.stringify(json)),
        fileOf('f/exposure.csv', 'level,drawing,frame,length\nbody,1,1,3\nbody,12A,4,1\nhat,1,2,2\n'),
      ],
      shelf,
    );
    const shot = shots[0]?.shot;
    if (!shot) throw new Error('nothing was taken in');
    expect(shot.levels[0]?.drawings[0]?.takes).toHaveLength(2);
    return { shelf, shot };
  };

  it('as a zip, that another unzips and another shelf takes in as the same shot', async () => {
    const { shelf, shot } = await rich();
    const zip = new Uint8Array(
      await new Response(writeShotZip(shot, (sha256) => shelf.file(sha256))).arrayBuffer(),
    );
    expect(Object.keys(unzipSync(zip))).toEqual(
      [
        'shot.json',
        'exposure.csv',
        'body/rough/0001.png',
        'body/clean/take 1/0001.png',
        'body/clean/0001.png',
        'body/rough/0012A.png',
        'hat/rough/0001.png',
        'hat/clean/0001.png',
      ].map((path) => `Ferry_ at dusk_/${path}`),
    );
    const other = memoryShelf();
    const { shots, odd } = await take([fileOf('given.zip', zip)], other);
    expect(odd.filter(({ taken }) => !taken)).toEqual([]);
    expect(shots[0]?.shot).toEqual(shot);
    // Taken in again where it is already, it changes nothing.
    expect((await take([fileOf('given.zip', zip)], other)).shots[0]).toMatchObject({
      added: 0,
      unchanged: 6,
    });
  });

  it('hands on what lies beside the drawings of a pack, and takes its shot’s id from there', async () => {
    const { shelf, shot } = await rich();
    const text = JSON.stringify({ entries: [{ shot: 'ferry-7' }] });
    const extra = [
      { path: 'fairpeg/entries.json', text },
      { path: 'fairpeg/findings.json', text: '{}' },
      { path: 'fairpeg/other.json', text: '{}' },
    ];
    const zip = new Uint8Array(
      await new Response(writeShotZip(shot, (sha256) => shelf.file(sha256), { extra })).arrayBuffer(),
    );
    const named = await take([fileOf('given.zip', zip)], memoryShelf());
    expect(named.shots[0]?.shot.id).toBe(shot.id);
    expect(named.shots[0]?.beside).toMatchObject([
      { name: 'entries.json', path: 'given/Ferry_ at dusk_/fairpeg/entries.json', text },
      { name: 'findings.json', path: 'given/Ferry_ at dusk_/fairpeg/findings.json', text: '{}' },
    ]);
    expect(named.odd.filter(({ taken }) => !taken).map(({ name }) => name)).toEqual([
      'given/Ferry_ at dusk_/fairpeg/other.json',
    ]);
    const files = [...(await three()), fileOf('sc04/fairpeg/entries.json', text)];
    expect((await take(files, memoryShelf())).shots[0]?.shot.id).toBe('ferry-7');
  });

  it('fails with a sentence when a picture is not kept', async () => {
    const { shot } = await rich();
    const written = new Response(writeShotZip(shot, () => Promise.resolve(undefined))).arrayBuffer();
    await expect(written).rejects.toThrow(
      'body/rough/0001.png could not be written: its picture is not kept here. Fetch it first.',
    );
  });

  it('as a folder, which the prompt reads as the same shot, with its pictures', async () => {
    const { shelf, shot } = await rich();
    const root = join(folder, 'ferry');
    for (const { path, text, image } of shotFiles(shot)) {
      await mkdir(dirname(join(root, path)), { recursive: true });
      await writeFile(
        join(root, path),
        text ?? new Uint8Array((image && (await shelf.file(image.sha256))) ?? new ArrayBuffer()),
      );
    }
    await writeFile(join(root, '.DS_Store'), 'x');
    const disk = await readShot(root);
    expect(disk.odd.filter(({ taken }) => !taken)).toEqual([]);
    expect(disk.shot).toEqual(shot);
    const image = shot.levels[0]?.drawings[0]?.takes[1]?.image;
    if (!image) throw new Error('no take');
    expect(disk.pathOf(image)).toBe('ferry/body/clean/0001.png');
    const picture = await disk.picture(image);
    expect([picture.width, picture.height, picture.channels]).toEqual([40, 30, 1]);
    expect(Buffer.from(await disk.bytes(image))).toEqual(
      Buffer.from((await shelf.file(image.sha256)) ?? new ArrayBuffer()),
    );
  });

  it('a zip on disk and a folder of shots read at the prompt', async () => {
    const zip = join(folder, 'sc07.zip');
    await writeFile(
      zip,
      zipSync({ 'rough/1.png': await drawn(1), 'clean/1.png': (await drawn(2)).subarray(0, 60) }),
    );
    const disk = await readShot(zip);
    expect(disk.shot.title).toBe('sc07');
    expect(disk.odd.map(({ name, taken }) => [name, taken])).toContainEqual(['sc07/clean/1.png', false]);
    expect((await readShot(zip)).shot.id).toBe(disk.shot.id);
    for (const name of ['sc01', 'sc02']) {
      await mkdir(join(folder, 'many', name, 'clean'), { recursive: true });
      await writeFile(join(folder, 'many', name, 'clean', '1.png'), await anyPng());
    }
    await expect(readShot(join(folder, 'many'))).rejects.toThrow('holds 2 shots');
    await mkdir(join(folder, 'empty'));
    await expect(readShot(join(folder, 'empty'))).rejects.toThrow('holds no drawing that can be read');
  });
});

describe('decoding at the prompt', () => {
  it('keeps colour and transparency of a coloured drawing, one channel of a grey one', async () => {
    const sharp = (await import('sharp')).default;
    const red = await sharp({
      create: { width: 2, height: 1, channels: 4, background: { r: 200, g: 10, b: 20, alpha: 0.2 } },
    })
      .png()
      .toBuffer();
    expect([...(await decodePicture(red)).data]).toEqual([200, 10, 20, 51, 200, 10, 20, 51]);
    const grey = await sharp({
      create: { width: 2, height: 1, channels: 4, background: { r: 0, g: 0, b: 0, alpha: 0.2 } },
    })
      .png()
      .toBuffer();
    expect(await decodePicture(grey)).toMatchObject({ channels: 1, data: Uint8Array.of(204, 204) });
  });
});
