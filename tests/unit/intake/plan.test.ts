import { describe, expect, it } from 'vitest';
import { openIntake } from '../../../src/intake/open.ts';
import { planIntake } from '../../../src/intake/plan.ts';
import { missingNumbers } from '../../../src/intake/plan-gaps.ts';
import { sayOdd } from '../../../src/intake/source.ts';
import type { Plan } from '../../../src/intake/types.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { drawing, imageRef, level, shotOf } from '../shot/make.ts';
import { fileOf, named } from './make.ts';

const planOf = async (
  paths: readonly string[],
  answers: Record<string, string> = {},
  into?: Shot,
): Promise<Plan> =>
  planIntake(await openIntake(await named(...paths)), new Map(Object.entries(answers)), into);

/** `level: label rough-name|clean-name …`, `-` for a missing side. */
function pairs(plan: Plan): string[] {
  const name = (path: string | undefined) => path?.split('/').slice(-1)[0] ?? '-';
  return plan.shots.flatMap((shot) =>
    shot.levels.flatMap((one) =>
      one.drawings.map(
        ({ label, rough, cleans }) =>
          `${one.name ? `${one.name}: ` : ''}${label} ${name(rough?.path)}|${cleans.map(({ path }) => name(path)).join('+') || '-'}`,
      ),
    ),
  );
}

describe('rough and clean are told apart and paired', () => {
  it.each<[string, string[], string[]]>([
    [
      'by folder',
      ['sc04/rough/0012.png', 'sc04/clean/0012.png', 'sc04/rough/0014.png'],
      ['12 0012.png|0012.png', '14 0014.png|-'],
    ],
    ['by word in the name', ['A_rough_12A.png', 'A_clean_12A.png'], ['12A A_rough_12A.png|A_clean_12A.png']],
    [
      'across different names',
      ['sc04-tiedown.0007.png', 'sc04-tiedown.0009.png', 'clean/sc04_final.7.png', 'clean/sc04_final.9.png'],
      ['7 sc04-tiedown.0007.png|sc04_final.7.png', '9 sc04-tiedown.0009.png|sc04_final.9.png'],
    ],
    ['by folders with a hyphen', ['x/tie-down/3.tif.png', 'x/Clean Up/3.png'], ['3 3.tif.png|3.png']],
    ['by capitals', ['TieDown3.png', 'CleanUp3.png'], ['3 TieDown3.png|CleanUp3.png']],
    [
      'by short words beside each other',
      ['sc04_RO_0012.png', 'sc04_CU_0012.png'],
      ['12 sc04_RO_0012.png|sc04_CU_0012.png'],
    ],
    [
      'with a word of two meanings in both',
      ['CU_rough_5.png', 'CU_clean_5.png'],
      ['5 CU_rough_5.png|CU_clean_5.png'],
    ],
    ['in other scripts', ['カット4/ラフ/１２.png', 'カット4/清書/１２.png'], ['12 １２.png|１２.png']],
    [
      'decomposed and composed alike (NFD, NFC)',
      ['e\u0301bauche/rough_1.png', '\u00e9bauche/clean_1.png'],
      ['1 rough_1.png|clean_1.png'],
    ],
    [
      'with a scene, a version and a size in the name',
      [
        'sc12_sh03_0007_rough_v2_1920x1080.png',
        'sc12_sh03_0008_rough_v2_1920x1080.png',
        'sc12_sh03_0007_clean_v1_1920x1080.png',
      ],
      [
        '7 sc12_sh03_0007_rough_v2_1920x1080.png|sc12_sh03_0007_clean_v1_1920x1080.png',
        '8 sc12_sh03_0008_rough_v2_1920x1080.png|-',
      ],
    ],
  ])('%s', async (_, paths, wanted) => {
    const plan = await planOf(paths);
    expect(pairs(plan)).toEqual(wanted);
    expect(plan.questions).toEqual([]);
  });

  it('orders by number whatever the order of the picker', async () => {
    const plan = await planOf(['r/rough/10.png', 'r/rough/2.png', 'r/rough/2a.png', 'r/rough/1.png']);
    expect(plan.shots[0]?.levels[0]?.drawings.map(({ label }) => label)).toEqual(['1', '2', '2A', '10']);
  });

  it('keeps levels apart, by folder and by name', async () => {
    const folders = ['body', 'hat'].flatMap((name) => [`sc/${name}/rough/1.png`, `sc/${name}/clean/1.png`]);
    expect(pairs(await planOf(folders))).toEqual(['body: 1 1.png|1.png', 'hat: 1 1.png|1.png']);
    const other = ['A', 'B'].flatMap((name) => [
      `sc/rough/sc04_${name}_0001.png`,
      `sc/clean/sc04_${name}_0001.png`,
    ]);
    expect(pairs(await planOf(other)).map((line) => line.split(' ')[0])).toEqual(['A:', 'B:']);
  });

  it('takes versions of a clean as takes, and the newest rough', async () => {
    const plan = await planOf([
      'rough_4_v1.png',
      'rough_4_v2.png',
      'clean_4_v2.png',
      'clean_4_v1.png',
      'clean_4_v10.png',
    ]);
    expect(pairs(plan)).toEqual(['4 rough_4_v2.png|clean_4_v1.png+clean_4_v2.png+clean_4_v10.png']);
    expect(plan.odd.map(sayOdd)).toContain(
      'rough_4_v1.png: rough_4_v2.png is a newer version of the same rough.',
    );
  });
});

describe('what is not certain is asked', () => {
  it('a word with two meanings alone', async () => {
    const plan = await planOf(['sc04_CU_0012.png', 'sc04_CU_0013.png']);
    expect(plan.questions).toHaveLength(1);
    expect(plan.questions[0]).toMatchObject({
      guess: 'clean',
      choices: [{ value: 'rough' }, { value: 'clean' }, { value: 'none' }],
    });
    expect(plan.questions[0]?.files).toHaveLength(2);
    const answered = await planOf(['sc04_CU_0012.png', 'sc04_CU_0013.png'], {
      [plan.questions[0]?.id ?? '']: 'rough',
    });
    expect(pairs(answered)).toEqual(['12 sc04_CU_0012.png|-', '13 sc04_CU_0013.png|-']);
  });

  it('two folders that say nothing, and the answers pair them', async () => {
    const paths = ['sc/one/1.png', 'sc/one/2.png', 'sc/two/1.png', 'sc/two/2.png'];
    const asked = await planOf(paths);
    expect(asked.questions.map(({ id, guess }) => [id, guess])).toEqual([
      ['layer:sc/one/#', 'rough'],
      ['layer:sc/two/#', 'clean'],
    ]);
    const answered = await planOf(paths, { 'layer:sc/one/#': 'clean', 'layer:sc/two/#': 'rough' });
    expect(answered.shots[0]?.levels).toHaveLength(1);
    expect(
      answered.shots[0]?.levels[0]?.drawings.map(({ rough, cleans }) => [rough?.path, cleans[0]?.path]),
    ).toEqual([
      ['sc/two/1.png', 'sc/one/1.png'],
      ['sc/two/2.png', 'sc/one/2.png'],
    ]);
  });

  it('a third series beside a pair, left out unless told otherwise', async () => {
    const paths = ['sc/rough/1.png', 'sc/clean/1.png', 'sc/colour/1.png'];
    const plan = await planOf(paths);
    expect(plan.questions[0]).toMatchObject({ guess: 'none' });
    expect(pairs(plan)).toEqual(['1 1.png|1.png']);
    expect(plan.odd.map(sayOdd)).toContain(
      'sc/colour/1.png: it was left out: rough and clean are there, and it is not clear whether it is either. Put it into a folder named rough or clean if it counts.',
    );
    const answered = await planOf(paths, { [plan.questions[0]?.id ?? '']: 'none' });
    expect(answered.odd.map(sayOdd)).toContain('sc/colour/1.png: it was left out, as answered.');
  });

  it('a name that speaks against its folder', async () => {
    const plan = await planOf(['rough/clean_1.png', 'rough/clean_2.png']);
    expect(plan.questions[0]).toMatchObject({ guess: 'clean' });
  });

  it('two files for one drawing, once for two whole series', async () => {
    const paths = ['sc/clean/1.png', 'sc/clean/1.jpg', 'sc/clean/2.png', 'sc/clean/2.jpg'];
    const plan = await planOf(paths);
    expect(plan.questions).toHaveLength(1);
    expect(plan.questions[0]?.files).toHaveLength(4);
    expect(pairs(plan)).toEqual(['1 -|1.png', '2 -|2.png']);
    const other =
      plan.questions[0]?.choices.find(({ value }) => value !== plan.questions[0]?.guess)?.value ?? '';
    expect(pairs(await planOf(paths, { [plan.questions[0]?.id ?? '']: other }))).toEqual([
      '1 -|1.jpg',
      '2 -|2.jpg',
    ]);
    const same = await planOf(['sc/clean/0001.png', 'sc/clean/1.png']);
    expect(same.questions[0]?.text).toBe('2 files are clean 1. Which one counts?');
    expect(same.odd.filter(({ taken }) => !taken)).toHaveLength(1);
  });

  it('a copy beside its file, the plain number being likelier; a zip’s second file of one name as well', async () => {
    for (const copy of ['7 (2).png', '7 copy.png', '7 - Copy (3).png', 'Copy of 7.png', '7 Kopie.png']) {
      const plan = await planOf(['sc/clean/6.png', 'sc/clean/7.png', `sc/clean/${copy}`]);
      expect(plan.questions.map(({ text, guess }) => [text, guess])).toEqual([
        ['2 files are clean 7. Which one counts?', 'sc/clean/7.png'],
      ]);
      expect(pairs(plan)).toEqual(['6 -|6.png', '7 -|7.png']);
    }
    // Numbers in brackets that copy nothing are the drawings' own.
    expect(pairs(await planOf(['c/clean/cat (1).png', 'c/clean/cat (2).png']))).toEqual([
      '1 -|cat (1).png',
      '2 -|cat (2).png',
    ]);
  });

  it('a folder called old, left out unless it is wanted', async () => {
    const paths = ['rough/1.png', 'clean/1.png', 'clean/old/1.png', 'old stuff/clean/1.png'].map(
      (path) => `sc/${path}`,
    );
    const plan = await planOf(paths);
    expect(plan.questions.map(({ text, guess }) => [text, guess])).toEqual([
      ['The folder “old” holds one more drawing. Do they belong to the shot?', 'none'],
      ['The folder “old stuff” holds one more drawing. Do they belong to the shot?', 'none'],
    ]);
    expect(pairs(plan)).toEqual(['1 1.png|1.png']);
    expect(plan.odd.map(sayOdd)).toContain(
      'sc/clean/old/1.png: it was left out: it lies in a folder named “old”. Give the folder the name of its level if it counts.',
    );
    const wanted = await planOf(paths, { 'aside:old': 'level' });
    expect(pairs(wanted)).toEqual(['1 1.png|1.png', 'old: 1 -|1.png']);
    // Chosen itself, the folder is the shot's own.
    expect(pairs(await planOf(['old/clean/1.png', 'old/rough/1.png']))).toEqual(['1 1.png|1.png']);
  });

  it('a file named unlike the many beside it, left out unless it is wanted', async () => {
    const row = Array.from({ length: 8 }, (_, i) => `sc/clean/000${i + 1}.png`);
    const paths = [...row, 'sc/clean/tmp_0009.png'];
    const plan = await planOf(paths);
    expect(plan.questions.map(({ id, text, guess }) => [id, text, guess])).toEqual([
      ['stray:sc/clean/tmp_#', 'tmp_0009.png is named unlike the 8 drawings beside. What is it?', 'none'],
    ]);
    expect(plan.shots[0]?.levels.map(({ name }) => name)).toEqual(['']);
    const same = await planOf(paths, { 'stray:sc/clean/tmp_#': 'same' });
    expect(same.shots[0]?.levels[0]?.drawings.map(({ label }) => label)).toContain('9');
    expect(same.shots[0]?.levels).toHaveLength(1);
    const own = await planOf(paths, { 'stray:sc/clean/tmp_#': 'level' });
    expect(own.shots[0]?.levels.map(({ name }) => name)).toEqual(['', 'tmp']);
  });

  it('levels named apart, one with roughs and one with cleans', async () => {
    const paths = ['sc/body/rough/1.png', 'sc/hat/clean/1.png'];
    const plan = await planOf(paths);
    expect(plan.questions[0]?.text).toBe(
      'body has only roughs and hat only cleans. Are they the same level?',
    );
    expect(pairs(await planOf(paths, { [plan.questions[0]?.id ?? '']: 'same' }))).toEqual(['1 1.png|1.png']);
  });
});

describe('shots', () => {
  it('are one for each folder named like a shot, titled by it', async () => {
    const plan = await planOf(['ep/sc04/rough/1.png', 'ep/sc04/clean/1.png', 'ep/sc05/rough/1.png']);
    expect(plan.shots.map(({ title }) => title)).toEqual(['sc04', 'sc05']);
  });

  it.each([
    ['clean_0001.png', 'Shot'],
    ['sc04-tiedown.0007.png', 'sc04'],
    ['the ferry 0001.png', 'the ferry'],
    ['rough/0012.png', 'Shot'],
  ])('of loose files, %s first, is titled %s', async (path, title) => {
    const plan = await planOf([path]);
    expect(plan.shots.map((shot) => shot.title)).toEqual([title]);
  });
  it('are one for each shot.json, with its title', async () => {
    const files = [
      ...(await named('all/a/rough/1.png', 'all/b/rough/1.png')),
      fileOf('all/a/shot.json', '{"title":"Ferry"}'),
      fileOf('all/b/shot.json', '{}'),
      fileOf('all/b/exposure.csv', 'drawing,frame\n1,1'),
    ];
    const plan = planIntake(await openIntake(files), new Map());
    expect(plan.shots.map(({ title, sheet }) => [title, sheet !== undefined])).toEqual([
      ['Ferry', false],
      ['b', true],
    ]);
  });

  it('follow the paths that shot.json names', async () => {
    const shotFile = {
      levels: [
        { drawings: [{ label: '7', rough: 'x/first.png', takes: [{ number: 1, file: 'x/second.png' }] }] },
      ],
    };
    const files = [
      ...(await named('s/x/first.png', 's/x/second.png')),
      fileOf('s/shot.json', JSON.stringify(shotFile)),
    ];
    const plan = planIntake(await openIntake(files), new Map());
    expect(pairs(plan)).toEqual(['7 first.png|second.png']);
    expect(plan.questions).toEqual([]);
  });

  it('grow: numbered files that come to a shot are its cleans, on its only level', async () => {
    const into = shotOf([level([{ ...drawing('1'), rough: imageRef(1) }, drawing('3')], [], 'body')]);
    const plan = await planOf(['new/0001.png', 'new/0003.png'], {}, into);
    expect(pairs(plan)).toEqual(['body: 1 -|0001.png', 'body: 3 -|0003.png']);
    expect(plan.questions.map(({ guess }) => guess)).toEqual(['clean']);
    const roughs = await planOf(['rough/0001.png'], {}, into);
    expect(roughs.questions.map(({ id, guess }) => [id, guess])).toEqual([['roughs', 'keep']]);
  });
});

describe('every file not taken is named', () => {
  it('many of one folder in one line, which holds all of their names', async () => {
    const names = Array.from({ length: 10_000 }, (_, i) => `sc/notes/${i}.txt`);
    const opened = await openIntake([
      ...(await named('sc/clean/1.png')),
      ...names.map((name) => fileOf(name, 'a note')),
    ]);
    const plan = planIntake(opened, new Map());
    expect(plan.odd.map(sayOdd)).toEqual([
      'sc: 10,000 files (0.txt, 1.txt, 10.txt, …): each is no picture this app knows. They were left out.',
    ]);
    expect(plan.odd[0]?.names?.toSorted()).toEqual(names.toSorted());
  });

  it('why, and what to do', async () => {
    const files = [
      ...(await named(
        's/rough/1.png',
        's/rough/model sheet.png',
        's/rough/2.JPG',
        `s/rough/${'9'.repeat(70)}.png`,
      )),
      fileOf('s/rough/3.png', ''),
      fileOf('s/rough/4.png', 'GIF89a, it is'),
      fileOf('s/notes.txt', 'draw faster'),
      fileOf('s/film.mov', '\0\0\0\x14ftypqt  '),
      fileOf('s/shot.json', '{"fps":"fast"}'),
      fileOf('__MACOSX/s/._1.png', 'x'),
      fileOf('s/.DS_Store', 'x'),
      fileOf('s/Thumbs.db', 'x'),
    ];
    const plan = planIntake(await openIntake(files), new Map());
    expect(plan.odd.map(sayOdd)).toEqual([
      's/film.mov: it is a film. Export its pictures as PNG.',
      's/notes.txt: it is no picture this app knows. It was left out.',
      's/rough/2.JPG: it is a PNG picture in spite of its name; it was taken as that.',
      's/rough/3.png: it is empty (0 bytes). Copy or export it again.',
      's/rough/4.png: it is a GIF picture. Export it as PNG.',
      's/shot.json: fps: is "fast", but must be number. The pictures were taken without it; mend it and take it in again.',
      's/rough/model sheet.png: it has no number in its name, so it is not clear which drawing it is. Put the number of the drawing into the name and take it in again.',
      `s/rough/${'9'.repeat(70)}.png: it has a number of more than 64 digits. Make the number in its name shorter.`,
    ]);
    expect(pairs(plan)).toEqual(['1 1.png|-', '2 2.JPG|-']);
  });

  it('what is missing is told', async () => {
    const rough = [1, 3, 5, 9, 11].map((n) => `sc04/rough/${n}.png`);
    const plan = await planOf([...rough, 'sc04/clean/1.png', 'sc04/clean/13.png']);
    expect(plan.odd.map(sayOdd)).toEqual([
      'sc04: there is no rough for 13. Add it if there is one; the clean was taken.',
      'sc04: there is no clean for 3, 5, 9, 11 yet. Add it when it is drawn.',
      'sc04: number 7 is missing between its neighbours. Look whether a file was forgotten.',
    ]);
  });

  it('a row without a rule has no gaps', () => {
    expect(missingNumbers(['1', '5', '6', '12'])).toEqual([]);
    expect(missingNumbers(['1', '2', '3', '6', '6A'])).toEqual(['4', '5']);
    expect(missingNumbers(['7'])).toEqual([]);
  });

  it('a number of another count (a date) is no gap, and is not counted up to', () => {
    expect(missingNumbers(['1', '2', '3', '20251125'])).toEqual([]);
    // The widest there is in a name: nine digits.
    expect(missingNumbers(['1', '2', '3', '999999999'])).toEqual([]);
    const row = Array.from({ length: 20 }, (_, n) => String(n + 1));
    expect(missingNumbers([...row, '40'])).toHaveLength(19);
  });

  it('a file that was refused is not called missing as well', async () => {
    const files = [
      ...(await named('s/rough/1.png', 's/rough/2.png', 's/rough/4.png', 's/clean/1.png', 's/clean/4.png')),
      fileOf('s/rough/3.png', ''),
      fileOf('s/clean/2.png', ''),
    ];
    const plan = planIntake(await openIntake(files), new Map());
    expect(plan.odd.map(sayOdd)).toEqual([
      's/clean/2.png: it is empty (0 bytes). Copy or export it again.',
      's/rough/3.png: it is empty (0 bytes). Copy or export it again.',
    ]);
  });

  it('too many files are refused before any is read', async () => {
    const source = { byteLength: 1, read: () => Promise.reject(new Error('was read')) };
    const opened = await openIntake(
      Array.from({ length: 20_001 }, (_, i) => ({ path: `disk/${i}.png`, source })),
    );
    expect(opened.pictures).toEqual([]);
    expect(opened.odd).toHaveLength(1);
  });
});
